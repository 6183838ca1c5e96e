package studio

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func TestInitLaysOutAStudio(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "print room", "studio")
	if err := Init(dir, []byte("# nothing yet\n"), []string{"A4", "24x36in canvas"}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"drop/A4", "drop/24x36in canvas", "outbox/morning", "held", "originals", ".sizewright/claims"} {
		if st, err := os.Stat(filepath.Join(dir, want)); err != nil || !st.IsDir() {
			t.Errorf("no directory %s (%v)", want, err)
		}
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "sizewright.toml")); string(got) != "# nothing yet\n" {
		t.Errorf("sizewright.toml holds %q", got)
	}
	if got := files(t, filepath.Join(dir, ".sizewright")); len(got) != 1 || got["format"] != "1\n" {
		t.Errorf("left behind: %v", got)
	}
}

func TestInitOverAStudioAddsOnlyWhatIsMissing(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "sizewright.toml", "mine")
	put(t, s, "drop/a3/marsh.jpg", "a marsh")
	if err := os.Remove(s.Held()); err != nil {
		t.Fatal(err)
	}
	if err := Init(s.Root(), []byte("theirs"), []string{"A2", "A3", "A4"}); err != nil {
		t.Fatal(err)
	}
	if got := get(t, s, "sizewright.toml"); got != "mine" {
		t.Errorf("the user's sizewright.toml became %q", got)
	}
	folders, err := s.tree.list(dropDir)
	slices.Sort(folders)
	if err != nil || strings.Join(folders, " ") != "A2 A4 a3" {
		t.Errorf("drop folders %q, %v; a3 should count as A3", folders, err)
	}
	if _, err := os.Stat(s.Held()); err != nil {
		t.Error("held was not put back")
	}
	wantPlaces(t, s, "a marsh", "drop/a3/marsh.jpg")
}

func TestInitLeavesEvenADanglingLinkAlone(t *testing.T) {
	dir := t.TempDir()
	config := filepath.Join(dir, "sizewright.toml")
	if err := os.Symlink("../elsewhere.toml", config); err != nil {
		t.Fatal(err)
	}
	if err := Init(dir, []byte("x"), nil); err != nil {
		t.Fatal(err)
	}
	if to, err := os.Readlink(config); err != nil || to != "../elsewhere.toml" {
		t.Errorf("the link became %q, %v", to, err)
	}
}

func TestInitRefusesFoldersThatCannotBe(t *testing.T) {
	for _, folder := range []string{"", ".", "..", ".A2", "a/b", "a\x00b", "morning", "Morning", strings.Repeat("a", 256)} {
		if err := Init(t.TempDir(), nil, []string{folder}); err == nil {
			t.Errorf("%q was taken for a drop folder", folder)
		}
	}
}

func TestOpenRefusesWhatIsNoStudio(t *testing.T) {
	empty := t.TempDir()
	for _, dir := range []string{empty, filepath.Join(empty, "nowhere")} {
		_, err := Open(dir)
		if !errors.Is(err, ErrNotStudio) || !strings.Contains(err.Error(), "sizewright init "+dir) {
			t.Errorf("Open(%s) = %v, want a sentence that says `sizewright init`", dir, err)
		}
	}
	if names, _ := os.ReadDir(empty); len(names) != 0 {
		t.Errorf("Open made %v in a directory that is no studio", names)
	}
}

func TestOpenMakesWhatIsMissingButDrop(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "drop"), 0o777); err != nil {
		t.Fatal(err)
	}
	s := opened(t, dir)
	for _, path := range []string{s.Outbox(), s.Held(), s.Originals(), s.MorningDir(), s.abs(claimsDir)} {
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
}

func TestOwnDirectoriesAreNeverLinks(t *testing.T) {
	for _, name := range []string{"drop", "outbox", "originals", ".sizewright"} {
		dir := t.TempDir()
		if err := Init(dir, nil, nil); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(filepath.Join(dir, name), filepath.Join(dir, "real")); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink("real", filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(dir); err == nil || !strings.Contains(err.Error(), "links inside a studio are not followed") {
			t.Errorf("%s is a link, and Open said %v", name, err)
		}
	}
}

func TestAStudioMayBeReachedThroughALink(t *testing.T) {
	s := laidOut(t, t.TempDir())
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(s.Root(), link); err != nil {
		t.Fatal(err)
	}
	again, err := Open(link)
	if err != nil {
		t.Fatal(err)
	}
	again.Close()
}

func TestASecondProcessIsRefusedAndToldTheFirst(t *testing.T) {
	s := laidOut(t, t.TempDir())
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childRole+"=lock", childStudio+"="+s.Root())
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if !strings.Contains(string(out), "already at work here (process "+strconv.Itoa(os.Getpid())+"); stop that one first") {
		t.Errorf("the second process heard: %s", out)
	}
}

// A user who may read the studio and not write there may see how far the night is.
func TestAnotherUserSeesWhoIsAtWork(t *testing.T) {
	dir := t.TempDir()
	s := laidOut(t, dir)
	if err := s.Tell([]int{7}); err != nil {
		t.Fatal(err)
	}
	for name, mode := range map[string]os.FileMode{filepath.Dir(dir): 0o755, s.abs(lockName): 0o444, s.abs(statusName): 0o444} {
		if err := os.Chmod(name, mode); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childRole+"=looking", childStudio+"="+dir)
	out, err := cmd.Output() // measuring coverage, it has more to say on stderr
	if want := strconv.Itoa(os.Getpid()) + " [7]\n"; err != nil || string(out) != want {
		t.Errorf("seen %q, %v; want %q", out, err, want)
	}
}

func TestALockIsFreeOnceUnlocked(t *testing.T) {
	dir := t.TempDir()
	if err := Init(dir, nil, nil); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		_, die := started(t, dir)
		if _, err := opener(dir).Lock(); !errors.Is(err, ErrLocked) {
			t.Fatalf("locked twice: %v", err)
		}
		die()
	}
}

func opener(dir string) *Studio {
	s, err := Open(dir)
	if err != nil {
		panic(err)
	}
	return s
}

func TestNothingIsClaimedOrRecoveredWithoutTheLock(t *testing.T) {
	dir := t.TempDir()
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	s := opener(dir)
	defer s.Close()
	put(t, s, "drop/A2/marsh.jpg", "a marsh")
	if _, err := s.Claim("A2", "marsh.jpg"); err == nil {
		t.Error("claimed without the lock")
	}
	if _, err := s.Recover(); err == nil {
		t.Error("recovered without the lock")
	}
	wantPlaces(t, s, "a marsh", "drop/A2/marsh.jpg")
}
