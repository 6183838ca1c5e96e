package studio

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"sizewright/internal/filename"
)

// published makes and publishes a pretend print of the claim's photograph.
func published(c *Claim, hint, photograph string) (Outcome, error) {
	for {
		n, err := c.Names(hint, pretendSuffixes...)
		if err != nil {
			return Outcome{}, err
		}
		made, err := makeSet(c, n, photograph)
		if err != nil {
			return Outcome{}, err
		}
		out, err := c.Publish(n, made...)
		if !errors.Is(err, ErrNameTaken) {
			return out, err
		}
	}
}

// heldBack holds the claim's photograph with a reason beside it.
func heldBack(c *Claim) (Outcome, error) {
	n, err := c.HeldNames(".txt", ".json")
	if err != nil {
		return Outcome{}, err
	}
	if err := os.WriteFile(c.MadePath("reason"), []byte("too small"), 0o666); err != nil {
		return Outcome{}, err
	}
	if err := os.WriteFile(c.MadePath("record"), []byte("{}"), 0o666); err != nil {
		return Outcome{}, err
	}
	return c.Hold(n, File{"reason", ".txt"}, File{"record", ".json"})
}

func TestAPublishedPrintIsInTheOutboxAndItsOriginalInOriginals(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for i, name := range hostileNames {
		photograph := fmt.Sprint("marsh ", i)
		c := dropped(t, s, "A2", name, photograph)
		out, err := published(c, strings.TrimSuffix(name, ".jpg"), photograph)
		if err != nil {
			t.Errorf("%q: %v", name, err)
			continue
		}
		if out.Untidy != nil || len(out.Renamed) != 0 || out.Original != "originals/A2/"+filename.Safe(name) {
			t.Errorf("%q: %+v", name, out)
		}
		wantPlaces(t, s, photograph, "originals/A2/"+filename.Safe(name))
	}
	if sets := checkSets(t, s); sets != len(hostileNames) {
		t.Errorf("%d sets of %d", sets, len(hostileNames))
	}
	if left := claimsLeft(t, s); len(left) != 0 {
		t.Errorf("claims left: %v", left)
	}
}

func TestAHeldOriginalLiesBesideItsReason(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for i, name := range hostileNames {
		photograph := fmt.Sprint("marsh ", i)
		c := dropped(t, s, "A2", name, photograph)
		out, err := heldBack(c)
		if err != nil {
			t.Errorf("%q: %v", name, err)
			continue
		}
		wantPlaces(t, s, photograph, out.Original)
		if got := get(t, s, out.Made[0]); got != "too small" {
			t.Errorf("%q: the reason reads %q", name, got)
		}
	}
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	out, err := heldBack(c)
	if err != nil || out.Original != "held/A2/marsh.jpg" || !slices.Equal(out.Made, []string{"held/A2/marsh.jpg.txt", "held/A2/marsh.jpg.json"}) {
		t.Errorf("%+v, %v", out, err)
	}
	c = dropped(t, s, "A2", "marsh.jpg", "another marsh")
	out, err = heldBack(c)
	if err != nil || out.Original != "held/A2/marsh-2.jpg" || out.Made[0] != "held/A2/marsh-2.jpg.txt" {
		t.Errorf("%+v, %v", out, err)
	}
}

func TestNothingInTheOutboxIsEverOverwritten(t *testing.T) {
	s := laidOut(t, t.TempDir())
	// Each alone makes the stem unfit: a print needs all of its names.
	put(t, s, "outbox/A2/Marsh.TIF", "somebody's")
	put(t, s, "outbox/A2/marsh-2.json", "somebody's")
	put(t, s, "outbox/A2/MARSH-3.preview.jpg", "somebody's")
	put(t, s, "originals/A2/MARSH.JPG", "somebody's")
	before := files(t, s.Outbox())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	out, err := published(c, "marsh", "a marsh")
	if err != nil {
		t.Fatal(err)
	}
	if out.Original != "originals/A2/marsh-2.jpg" || out.Made[0] != "outbox/A2/marsh-4.tif" {
		t.Errorf("%+v", out)
	}
	after := files(t, s.Outbox())
	for name, content := range before {
		if after[name] != content {
			t.Errorf("%s was touched", name)
		}
	}
}

func TestANameTakenBeforeTheDecisionIsChosenAgain(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	n, err := c.Names("marsh", pretendSuffixes...)
	if err != nil {
		t.Fatal(err)
	}
	made, err := makeSet(c, n, "a marsh")
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "outbox/A2/MARSH.preview.jpg", "somebody's")
	if _, err := c.Publish(n, made...); !errors.Is(err, ErrNameTaken) || c.Decided() {
		t.Fatalf("published over a taken name: %v", err)
	}
	wantPlaces(t, s, "a marsh", c.rel(originalPart, "marsh.jpg"))
	out, err := published(c, "marsh", "a marsh")
	if err != nil || out.Made[0] != "outbox/A2/marsh-2.tif" {
		t.Errorf("%+v, %v", out, err)
	}
}

func TestANameTakenAfterTheDecisionCostsNobodyAFile(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	s.tree.before = func(ch change) error {
		if ch.op == "rename" && ch.to == "outbox/A2/marsh.tif" {
			put(t, s, "outbox/A2/marsh.tif", "somebody's")
		}
		return nil
	}
	out, err := published(c, "marsh", "a marsh")
	if err != nil {
		t.Fatal(err)
	}
	if want := []Renamed{{"outbox/A2/marsh.tif", "outbox/A2/marsh-2.tif"}}; !slices.Equal(out.Renamed, want) {
		t.Errorf("renamed: %v, want %v", out.Renamed, want)
	}
	if get(t, s, "outbox/A2/marsh.tif") != "somebody's" || get(t, s, "outbox/A2/marsh-2.tif") != pretendPrint(".tif", "a marsh") {
		t.Error("a file was lost")
	}
}

func TestTwoWorkersNeverDecideOnOneName(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	const workers = 8
	var wg sync.WaitGroup
	for i := range workers {
		photograph := fmt.Sprint("marsh ", i)
		c := dropped(t, s, "A2", fmt.Sprintf("marsh.jp%d", i), photograph)
		wg.Go(func() {
			out, err := published(c, "marsh", photograph)
			if err != nil || len(out.Renamed) != 0 {
				t.Errorf("%+v, %v", out, err)
			}
		})
	}
	wg.Wait()
	if sets := checkSets(t, s); sets != workers {
		t.Errorf("%d sets of %d", sets, workers)
	}
}

func TestOnlyWhatWasMadeIsPublished(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	if err := os.Symlink("/etc/passwd", c.MadePath("link")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(c.MadePath("print"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	n := Names{Stem: "marsh", Original: "marsh.jpg"}
	for _, bad := range []struct {
		n    Names
		made File
	}{
		{n, File{"link", ".tif"}},
		{n, File{"missing", ".tif"}},
		{n, File{"../original/marsh.jpg", ".tif"}},
		{n, File{"print", "/../../../marsh.tif"}},
		{Names{Stem: "../../marsh", Original: "marsh.jpg"}, File{"print", ".tif"}},
		{Names{Stem: "marsh", Original: "../marsh.jpg"}, File{"print", ".tif"}},
		{Names{Stem: "marsh", Original: ""}, File{"print", ".tif"}},
		{Names{Stem: strings.Repeat("m", 252), Original: "marsh.jpg"}, File{"print", ".tif"}},
	} {
		if _, err := c.Publish(bad.n, bad.made); err == nil || c.Decided() {
			t.Errorf("published %+v: %v", bad, err)
		}
	}
	if _, err := c.Publish(n, File{"print", ".tif"}, File{"print", ".TIF"}); !errors.Is(err, ErrNameTaken) {
		t.Errorf("two files under one name: %v", err)
	}
	wantPlaces(t, s, "a marsh", c.rel(originalPart, "marsh.jpg"))
}

func TestAnOutboxFolderThatIsALinkIsNotPublishedInto(t *testing.T) {
	s := laidOut(t, t.TempDir())
	outside := t.TempDir()
	if err := os.Symlink(outside, s.abs("outbox/A2")); err != nil {
		t.Fatal(err)
	}
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	if _, err := published(c, "marsh", "a marsh"); err == nil || c.Decided() {
		t.Errorf("published through a link: %v", err)
	}
	if names, _ := os.ReadDir(outside); len(names) != 0 {
		t.Errorf("outside the studio: %v", names)
	}
	if _, err := c.Return(); err != nil {
		t.Error(err)
	}
	wantPlaces(t, s, "a marsh", "drop/A2/marsh.jpg")
}

func TestAClaimEndsOnce(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	if _, err := published(c, "marsh", "a marsh"); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Return(); err == nil {
		t.Error("returned what was published")
	}
	if _, err := heldBack(c); err == nil {
		t.Error("held what was published")
	}
	wantPlaces(t, s, "a marsh", "originals/A2/marsh.jpg")
}

func TestReturningADecidedClaimFinishesIt(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	full := errors.New("no room")
	s.tree.before = func(ch change) error {
		if ch.to == "outbox/A2/marsh.preview.jpg" {
			return full
		}
		return nil
	}
	if _, err := published(c, "marsh", "a marsh"); !errors.Is(err, full) || !c.Decided() {
		t.Fatalf("%v, decided %v", err, c.Decided())
	}
	s.tree.before = nil
	out, err := c.Return()
	if err != nil || out.Original != "originals/A2/marsh.jpg" || checkSets(t, s) != 1 {
		t.Errorf("%+v, %v", out, err)
	}
}

func TestPagesAreReplacedWhole(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for _, rel := range []string{"outbox/morning/latest.html", "outbox/morning/2026/03.json", ".sizewright/known.json"} {
		for _, content := range []string{"first", "second"} {
			if err := s.WriteFile(rel, []byte(content)); err != nil {
				t.Errorf("%s: %v", rel, err)
			} else if got := get(t, s, rel); got != content {
				t.Errorf("%s reads %q", rel, got)
			}
		}
	}
	if left, _ := os.ReadDir(s.abs(tempDir)); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestPagesAreWrittenNowhereElse(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for _, rel := range []string{
		"", ".", "sizewright.toml", "outbox/A2/marsh.tif", "drop/A2/x", "outbox/morning", "outbox/morning/../A2/x",
		"outbox/morning/", "/etc/x", "../x", ".sizewright/lock", ".sizewright/claims/1/order.json", ".sizewright/tmp/x",
		".sizewright/../drop/A2/x", "outbox/morning//x",
	} {
		if err := s.WriteFile(rel, []byte("x")); err == nil {
			t.Errorf("wrote %q", rel)
		}
	}
	outside := t.TempDir()
	if err := os.Symlink(outside, s.abs("outbox/morning/2026")); err != nil {
		t.Fatal(err)
	}
	if err := s.WriteFile("outbox/morning/2026/x.html", []byte("x")); err == nil {
		t.Error("wrote through a link")
	}
	wantPlaces(t, s, "x")
}

func TestErrorsNameFileFaultAndRemedy(t *testing.T) {
	s := laidOut(t, t.TempDir())
	if err := os.Symlink("/tmp", s.abs("drop/A3")); err != nil {
		t.Fatal(err)
	}
	_, err := s.Claim("A3", "new\nline.jpg")
	const want = `drop/A3: cannot open the directory: not a directory; put a plain directory there; links inside a studio are not followed`
	if err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	_, err = s.Claim("A2", "new\nline.jpg")
	if err == nil || err.Error() != `drop/A2/new\nline.jpg: cannot look at it: no such file or directory` {
		t.Errorf("%v", err)
	}
}
