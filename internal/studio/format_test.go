package studio

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestANewStudioHasTheFormatOfThisVersion(t *testing.T) {
	s, die := started(t, initialised(t, memoryDir(t)))
	defer die()
	if got := get(t, s, formatName); got != "1\n" {
		t.Errorf("it holds %q", got)
	}
	if r := recovered(t, s); len(r) != 0 {
		t.Errorf("the first start found %+v to take over", r)
	}
}

// Init over a studio of an earlier version leaves it to the daemon to take it over, who
// says so in the report.
func TestAStudioOfAnEarlierVersionIsTakenOverOnce(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	at := &Studio{dir: dir}
	if err := os.Remove(at.abs(formatName)); err != nil {
		t.Fatal(err)
	}
	put(t, at, "drop/A2/marsh.jpg", thePhotograph)
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	s, die := started(t, dir)
	defer die()
	r := recovered(t, s)
	if len(r) != 1 || r[0].Kind != TakenOver || !strings.Contains(r[0].Text, "from an earlier version of sizewright, and now has format 1") {
		t.Errorf("it is told %+v", r)
	}
	if got := get(t, s, formatName); got != "1\n" {
		t.Errorf("its format is %q", got)
	}
	wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg")
	if r := recovered(t, s); len(r) != 0 {
		t.Errorf("the next start is told %+v", r)
	}
}

func TestAStudioOfALaterVersionIsRefused(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	put(t, &Studio{dir: dir}, formatName, "2\n")
	os.Remove(filepath.Join(dir, heldDir))
	for name, use := range map[string]func() error{
		"Open":        func() error { _, err := Open(dir); return err },
		"Init":        func() error { return Init(dir, nil, []string{"A0"}) },
		"OpenToGroup": func() error { _, err := OpenToGroup(dir, os.Getgid()); return err },
	} {
		err := use()
		if !errors.Is(err, ErrNewer) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, must := range []string{dir, "it has format 2", "formats up to 1", "install the version that was last used here"} {
			if !strings.Contains(err.Error(), must) {
				t.Errorf("%s does not say %q: %v", name, must, err)
			}
		}
	}
	for _, rel := range []string{heldDir, "drop/A0"} {
		if _, err := os.Lstat(filepath.Join(dir, rel)); err == nil {
			t.Errorf("%s was made in it", rel)
		}
	}
}

func TestAFormatThatIsNoNumberIsNamed(t *testing.T) {
	for _, text := range []string{"", "one", "0", "-1", "1 2", "1.5"} {
		dir := initialised(t, memoryDir(t))
		put(t, &Studio{dir: dir}, formatName, text)
		_, err := Open(dir)
		if err == nil || !strings.Contains(err.Error(), ".sizewright/format: is not understood") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// Only what an earlier version named as it did is removed.
func TestNoFileOfAPersonsGoesWithAnEarlierVersions(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	at := &Studio{dir: dir}
	put(t, at, earlierWorkers+"/printroom-4242-89abcdef.json", "{}")
	put(t, at, earlierWorkers+"/marsh.jpg", thePhotograph)
	put(t, at, earlierTurns+"/0123456789abcdef0123456789abcdef", "")
	put(t, at, earlierTurns+"/mine/dune.jpg", theirPhotograph)
	put(t, at, earlierDeciding, "notes of a person")
	s, die := started(t, dir)
	defer die()
	said := map[string]Kind{}
	for _, r := range recovered(t, s) {
		said[strings.SplitN(r.Text, ":", 2)[0]] = r.Kind
	}
	for _, rel := range []string{earlierWorkers + "/marsh.jpg", earlierTurns + "/mine"} {
		if said[rel] != Left {
			t.Errorf("%s is not told of: %v", rel, said)
		}
	}
	wantPlaces(t, s, thePhotograph, earlierWorkers+"/marsh.jpg")
	wantPlaces(t, s, theirPhotograph, earlierTurns+"/mine/dune.jpg")
	wantPlaces(t, s, "notes of a person", earlierDeciding)
	for _, rel := range []string{earlierWorkers + "/printroom-4242-89abcdef.json", earlierTurns + "/0123456789abcdef0123456789abcdef"} {
		if _, err := os.Lstat(filepath.Join(dir, rel)); !os.IsNotExist(err) {
			t.Errorf("%s is still there (%v)", rel, err)
		}
	}
}
