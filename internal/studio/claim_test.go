package studio

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// hostileNames are names that Linux allows and cameras do not give.
var hostileNames = []string{
	"salt marsh, dawn.jpg",
	"-rf.jpg",
	"new\nline.jpg",
	"\xff\xfe not UTF-8 \x80.jpg",
	"<script>&amp;.jpg",
	"..jpg",
	"...",
	"\ufffd.jpg",
	strings.Repeat("m", 251) + ".jpg",
	strings.Repeat("m", 250) + ".json", // in held/, its shortened record could be named like it
	strings.Repeat("m", 249) + "_.json",
	strings.Repeat("é", 127) + "x",
	strings.Repeat("\xc3", 255),
	`{"base64":"eA=="}.jpg`,
}

func TestClaimingMovesThePhotographOutOfItsDropFolder(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for _, name := range hostileNames {
		c := dropped(t, s, "A2", name, "a marsh")
		wantPlaces(t, s, "a marsh", c.rel(originalPart, name))
		if got, err := os.ReadFile(c.OriginalPath()); err != nil || string(got) != "a marsh" {
			t.Errorf("%q reads %q, %v", name, got, err)
		}
		if c.Size != int64(len("a marsh")) || time.Since(c.ModTime) > time.Hour {
			t.Errorf("%q: size %d, time %v", name, c.Size, c.ModTime)
		}
		var o order
		if err := s.tree.readJSON(c.rel(orderName), &o); err != nil || string(o.Name) != name || string(o.Folder) != "A2" {
			t.Errorf("order.json of %q says %q, %v", name, o, err)
		}
		out, err := c.Return()
		if err != nil || out.Original != "drop/A2/"+name || len(out.Renamed) != 0 {
			t.Errorf("%q returned to %q, %v", name, out, err)
		}
		wantPlaces(t, s, "a marsh", "drop/A2/"+name)
		if err := os.Remove(s.abs("drop/A2/" + name)); err != nil {
			t.Fatal(err)
		}
	}
	if left := claimsLeft(t, s); len(left) != 0 {
		t.Errorf("claims left: %v", left)
	}
}

// notPhotographs makes things in a directory that no claim may touch.
var notPhotographs = map[string]func(path string) error{
	"a link":       func(path string) error { return os.Symlink("../../outside.jpg", path) },
	"a directory":  func(path string) error { return os.Mkdir(path, 0o777) },
	"a named pipe": func(path string) error { return syscall.Mkfifo(path, 0o666) },
}

func TestOnlyRegularFilesAreClaimed(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "outside.jpg", "outside")
	for what, make := range notPhotographs {
		path := s.abs("drop/A2/thing.jpg")
		if err := make(path); err != nil {
			t.Fatal(err)
		}
		before, _ := os.Lstat(path)
		_, err := s.Claim("A2", "thing.jpg")
		if !errors.Is(err, ErrNotRegular) || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
		if after, err := os.Lstat(path); err != nil || !os.SameFile(before, after) {
			t.Errorf("%s was not left alone: %v", what, err)
		}
		os.Remove(path)
	}
	if left := claimsLeft(t, s); len(left) != 0 {
		t.Errorf("claims left: %v", left)
	}
}

func TestWhatTakesAPhotographsPlaceAtTheLastMomentIsPutBack(t *testing.T) {
	for what, make := range notPhotographs {
		s := laidOut(t, t.TempDir())
		put(t, s, "drop/A2/marsh.jpg", "a marsh")
		path := s.abs("drop/A2/marsh.jpg")
		var swapped os.FileInfo
		s.tree.before = func(c change) error {
			if c.op != "rename" || c.from != "drop/A2/marsh.jpg" {
				return nil
			}
			err := errorsOf(os.Rename(path, s.abs("kept.jpg")), make(path))
			swapped, _ = os.Lstat(path)
			return err
		}
		_, err := s.Claim("A2", "marsh.jpg")
		if !errors.Is(err, ErrNotRegular) {
			t.Errorf("%s: claimed: %v", what, err)
		}
		if now, err := os.Lstat(path); err != nil || !os.SameFile(swapped, now) {
			t.Errorf("%s was not put back: %v", what, err)
		}
		if left := claimsLeft(t, s); len(left) != 0 {
			t.Errorf("%s: claims left: %v", what, left)
		}
	}
}

func TestADropFolderReachedThroughALinkIsNotClaimedFrom(t *testing.T) {
	s := laidOut(t, t.TempDir())
	outside := t.TempDir()
	if err := os.WriteFile(filepath.Join(outside, "marsh.jpg"), []byte("a marsh"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, s.abs("drop/A3")); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Claim("A3", "marsh.jpg"); err == nil || !strings.Contains(err.Error(), "links inside a studio are not followed") {
		t.Errorf("claimed through a link: %v", err)
	}
	if _, err := os.Stat(filepath.Join(outside, "marsh.jpg")); err != nil {
		t.Error(err)
	}
}

func TestClaimsCannotReachOutsideTheirFolder(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "secret.jpg", "secret")
	for _, c := range [][2]string{{"A2", "../../secret.jpg"}, {"..", "secret.jpg"}, {"A2/..", "x"}, {"", "x"}, {"A2", ""}, {"A2", ".."}, {".sizewright", "lock"}} {
		if _, err := s.Claim(c[0], c[1]); err == nil {
			t.Errorf("claimed %q", c)
		}
	}
	wantPlaces(t, s, "secret", "secret.jpg")
}

func TestAPhotographThatHasGoneIsSaidToBeGone(t *testing.T) {
	s := laidOut(t, t.TempDir())
	if _, err := s.Claim("A2", "marsh.jpg"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v", err)
	}
	if _, err := s.Claim("A9", "marsh.jpg"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v", err)
	}
}

func TestAPhotographStillBeingWrittenIsNoticed(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "drop/A2/marsh.jpg", "a mar")
	writer, err := os.OpenFile(s.abs("drop/A2/marsh.jpg"), os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer writer.Close()
	c, err := s.Claim("A2", "marsh.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Unchanged(); err != nil {
		t.Errorf("at rest: %v", err)
	}
	if _, err := writer.WriteString("sh"); err != nil {
		t.Fatal(err)
	}
	if err := c.Unchanged(); !errors.Is(err, ErrChanged) {
		t.Errorf("written to: %v", err)
	}
}

func TestAReturnedPhotographTakesNobodysName(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "drop/A2/MARSH.jpg", "another picture, told apart by case alone")
	c := dropped(t, s, "A2", "marsh.jpg", "the first")
	put(t, s, "drop/A2/marsh.jpg", "the second")
	put(t, s, "drop/A2/marsh-2.jpg", "a third")
	out, err := c.Return()
	if err != nil || out.Original != "drop/A2/marsh-3.jpg" || len(out.Renamed) != 1 {
		t.Errorf("%+v, %v", out, err)
	}
	wantPlaces(t, s, "the first", "drop/A2/marsh-3.jpg")
	wantPlaces(t, s, "the second", "drop/A2/marsh.jpg")
	wantPlaces(t, s, "a third", "drop/A2/marsh-2.jpg")
	if _, err := c.Return(); err == nil {
		t.Error("returned twice")
	}
}

func TestAReturnedPhotographFindsItsFolderAgain(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	if err := os.Remove(s.abs("drop/A2")); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Return(); err != nil {
		t.Fatal(err)
	}
	wantPlaces(t, s, "a marsh", "drop/A2/marsh.jpg")
}

func TestMadePathPanicsOnAPath(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("made a file outside the claim")
		}
	}()
	(&Claim{studio: &Studio{}}).MadePath("../original/marsh.jpg")
}
