package studio

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// modeOf is a file's permissions with the bits beside them, as chmod(1) has them.
func modeOf(t *testing.T, name string) uint32 {
	t.Helper()
	var st unix.Stat_t
	if err := unix.Lstat(name, &st); err != nil {
		t.Fatal(err)
	}
	return uint32(st.Mode) & 0o7777
}

func TestAGroupsStudioIsTheGroupsAllThrough(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "studio")
	if err := Init(dir, []byte("# ours\n"), []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	s := &Studio{dir: dir}
	put(t, s, "drop/A2/marsh.jpg", "a marsh")
	put(t, s, "not ours/notes.txt", "someone's")
	elsewhere := t.TempDir()
	if err := os.Symlink(elsewhere, s.abs("outbox/link")); err != nil {
		t.Fatal(err)
	}
	before := map[string]uint32{}
	for _, name := range []string{s.abs("drop/A2/marsh.jpg"), s.abs("not ours"), elsewhere} {
		before[name] = modeOf(t, name)
	}
	if _, ok := GroupMask(dir); ok {
		t.Error("one person's studio is taken for a group's")
	}
	for range 2 { // again and again
		if _, err := OpenToGroup(dir, os.Getgid()); err != nil {
			t.Fatal(err)
		}
		for _, rel := range append([]string{".", "drop/A2"}, ownDirs...) {
			if got := modeOf(t, s.abs(rel)); got != 0o2770 {
				t.Errorf("%s has the mode %o, want 2770", rel, got)
			}
		}
		if got := modeOf(t, s.abs(configName)); got != 0o660 {
			t.Errorf("the configuration has the mode %o, want 660", got)
		}
	}
	for name, mode := range before {
		if got := modeOf(t, name); got != mode {
			t.Errorf("%s has the mode %o and had %o: nobody asked for that", name, got, mode)
		}
	}
	if mask, ok := GroupMask(dir); !ok || mask != 0o007 {
		t.Errorf("the umask for it is %o, %v; want 007", mask, ok)
	}
}

// A second name of a file from elsewhere must not be a way to have it given away.
func TestAFileWithASecondNameIsNotGivenToTheGroup(t *testing.T) {
	dir := t.TempDir()
	other, studio := filepath.Join(dir, "secret"), filepath.Join(dir, "studio")
	if err := Init(studio, nil, nil); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(other, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(other, filepath.Join(studio, configName)); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenToGroup(studio, os.Getgid()); err == nil || !strings.Contains(err.Error(), "sizewright.toml: cannot be given to the group") {
		t.Errorf("it says %v", err)
	}
	if got := modeOf(t, other); got != 0o600 {
		t.Errorf("its mode is now %o", got)
	}
	if _, ok := GroupMask(studio); ok {
		t.Error("what was done by half is taken for done")
	}
}
