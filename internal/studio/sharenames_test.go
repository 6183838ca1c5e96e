package studio

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"sizewright/internal/filename"
)

// Microsoft, "Naming Files, Paths, and Namespaces". Of each pair the second is the name
// that the first is made safe by.
func TestWhatIsNamedForAShareCanBeOpenedThereAndIsDoubledByNothing(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for _, pair := range [][2]string{{"con.jpg", "con_.jpg"}, {"COM¹", "com¹_"}, {"a:b?.jpg", "a_b_.jpg"}, {"dot.", "dot_"}, {"mar\xe9e.jpg", "mar_e.jpg"}, {"A.jpg", "a.jpg"}} {
		for i, name := range pair {
			made, held := fmt.Sprintf("made %q", name), fmt.Sprintf("held %q", name)
			out, err := published(dropped(t, s, "A2", name, made), strings.TrimSuffix(name, ".jpg"), made)
			if err != nil {
				t.Fatal(err)
			}
			kept, err := heldBack(dropped(t, s, "A2", name, held))
			if err != nil {
				t.Fatal(err)
			}
			wantPlaces(t, s, made, out.Original)
			wantPlaces(t, s, held, kept.Original)
			if safe := filename.Safe(name); i == 0 && (out.Original != "originals/A2/"+safe || kept.Original != "held/A2/"+safe) {
				t.Errorf("%q is at %q and %q", name, out.Original, kept.Original)
			}
		}
	}
	seen := map[string]bool{}
	for rel := range files(t, s.dir) {
		for name := range strings.SplitSeq(rel, "/") {
			if filename.Safe(name) != name {
				t.Errorf("%q cannot be opened everywhere", rel)
			}
		}
		if key := filename.Fold(rel); seen[key] {
			t.Errorf("a share shows one of two %q", rel)
		} else {
			seen[key] = true
		}
	}
	checkSets(t, s)
}

func TestAFolderThatAShareCannotShowHasOneThatItCan(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for _, c := range []struct{ drop, want string }{
		{`24x36"`, "24x36_"}, {"A3 ", "A3_"}, {"A4", "A4"},
		{"a4", "A4"}, // a share shows one of two that differ in case
		{"A5 gl\u00e4nzend", "A5 gl\u00e4nzend"}, {"a5 gla\u0308nzend", "A5 gl\u00e4nzend"},
	} {
		out, err := published(dropped(t, s, c.drop, "marsh.jpg", "of "+c.drop), "marsh", "of "+c.drop)
		if err != nil {
			t.Fatal(err)
		}
		kept, err := heldBack(dropped(t, s, c.drop, "marsh.jpg", "held of "+c.drop))
		if err != nil {
			t.Fatal(err)
		}
		for top, path := range map[string]string{"originals": out.Original, "outbox": out.Made[0], "held": kept.Original} {
			if !strings.HasPrefix(path, top+"/"+c.want+"/") {
				t.Errorf("of %q there is %q, want it in %s/%s", c.drop, path, top, c.want)
			}
		}
	}
	if out := get(t, s, "originals/A4/marsh-2.jpg"); out != "of a4" {
		t.Errorf("the second marsh is %q", out)
	}
}

// The other may be made between the choice and the decision.
func TestAFolderOfTheOtherCaseIsSeenBeforeTheDecision(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "a6", "marsh.jpg", "a marsh")
	n, err := c.Names("marsh", ".tif")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(s.abs("outbox/A6"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(c.MadePath("print"), []byte("print"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Publish(n, File{"print", ".tif"}); !errors.Is(err, ErrNameTaken) || c.Decided() {
		t.Fatalf("published into %+v: %v", n, err)
	}
	if out, err := published(c, "marsh", "a marsh"); err != nil || !strings.HasPrefix(out.Made[0], "outbox/A6/") {
		t.Errorf("%+v, %v", out, err)
	}
}

func TestNamesDecidedBeforeAKillAreTheNamesAfterIt(t *testing.T) {
	dir := t.TempDir()
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	s, die := started(t, dir)
	if err := os.Mkdir(s.abs("outbox/a2"), 0o777); err != nil {
		t.Fatal(err)
	}
	c := dropped(t, s, "A2", "con?.jpg", "a marsh")
	s.tree.before = func(ch change) error {
		if strings.HasPrefix(ch.to, "outbox/") {
			return errors.New("killed")
		}
		return nil
	}
	if _, err := published(c, "con?", "a marsh"); err == nil || !c.Decided() {
		t.Fatalf("was to be killed after the decision: %v", err)
	}
	die()
	s = opened(t, dir)
	r := recovered(t, s)
	if len(r) != 1 || r[0].Kind != Published || r[0].Name != "con?.jpg" || r[0].Original != "originals/A2/con_.jpg" || r[0].Made[0] != "outbox/a2/con_.tif" {
		t.Errorf("%+v", r)
	}
	wantPlaces(t, s, "a marsh", "originals/A2/con_.jpg")
}

// Journals from before names were made safe may lie in a studio that was killed then.
func TestAnOlderJournalIsCarriedOutUnderItsOwnNames(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, claimsDir+"/1/original/con.jpg", "a marsh")
	put(t, s, claimsDir+"/1/made/reason", "too small")
	put(t, s, claimsDir+"/1/publish.json", `{"kind":"hold","folder":"A2 ","name":"con.jpg","moves":[{"from":"original/con.jpg","to":"held/A2 /con.jpg"},{"from":"made/reason","to":"held/A2 /con.jpg.txt"}]}`)
	if r := recovered(t, s); len(r) != 1 || r[0].Kind != Held {
		t.Errorf("%+v", r)
	}
	wantPlaces(t, s, "a marsh", "held/A2 /con.jpg")
}
