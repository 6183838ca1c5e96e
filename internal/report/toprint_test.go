package report

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// packed is a print of an A4 piece for one roll, of which several stocks may come.
func (s *studioDir) packed(folder, name, profile string, copies int) record.Entry {
	s.Helper()
	e := s.Made(folder, name)
	p := e.Record.Plan
	p.Paper = &order.Paper{Layout: sheet.Layout{Media: "roll24"}, Pack: &order.Pack{Roll: roll.Roll{WidthMM: 610}, WidthMM: 210, HeightMM: 297}}
	p.Asked = &order.PlanAsked{Copies: copies}
	if profile != "" {
		p.Colour.Conversion, p.Colour.Output = order.ToStock, profile
	}
	return e
}

// loads are the loads of a night with their rows.
func loads(entries ...record.Entry) []load {
	cards := make([]card, len(entries))
	for i, e := range entries {
		cards[i] = card{keys: keysOf(&e.Record), Folder: e.Record.Order.Folder}
	}
	return loadsOf(entries, cards, packing.Of(entries))
}

func TestTheDriverIsToldOnceWhatHoldsForAllOfAPaper(t *testing.T) {
	s := newStudio(t)
	all := loads(s.packed("A4 lustre", "a.jpg", "Marsh Lustre", 1), s.packed("A4 lustre", "b.jpg", "Marsh Lustre", 1))
	if len(all) != 1 || plain(all[0].Driver) != "100 %, no colour change: the file has the colours of Marsh Lustre" || all[0].Rows[0].Driver != "" {
		t.Errorf("%+v", all)
	}
	// One roll, two stocks: each print says its own.
	all = loads(s.packed("A4 lustre", "a.jpg", "Marsh Lustre", 1), s.packed("A4 baryta", "b.jpg", "", 1))
	if len(all) != 1 || all[0].Driver != "" {
		t.Fatalf("%+v", all)
	}
	for i, want := range []string{"the colours of Marsh Lustre", "100 %, colours converted from sRGB"} {
		if got := plain(all[0].Rows[i].Driver); !strings.Contains(got, want) {
			t.Errorf("row %d says %q, want %q", i, got, want)
		}
	}
}

func TestAPrintThatIsOnPaperIsNotAskedForAgain(t *testing.T) {
	s := newStudio(t)
	waits, done := s.Made("A2", "reeds.jpg"), s.Made("A2", "dawn.jpg")
	done.Record.Marks = []record.Mark{{At: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)}}
	n := s.night()
	n.Records = []record.Entry{waits, done}
	_, list, _ := strings.Cut(s.page(n), ">To print<")
	list, _, _ = strings.Cut(list, ">Every print<")
	after(t, list, ">dawn.jpg<", "<small>printed</small>")
	if strings.Count(list, "<small>printed</small>") != 1 || strings.Count(list, `class="ticks"`) != 1 {
		t.Errorf("the list to print is %s", list)
	}
}

func TestEveryCopyHasItsNumberOnTheCuttingPlan(t *testing.T) {
	s := newStudio(t)
	all := loads(s.packed("A4 lustre", "a.jpg", "", 3), s.packed("A4 lustre", "b.jpg", "", 1))
	seen := map[string]bool{}
	for _, row := range all[0].Rows {
		for _, p := range row.places {
			seen[fmt.Sprint(p)] = true
		}
	}
	if len(all) != 1 || len(all[0].Rows) != 2 || len(seen) != 4 {
		t.Errorf("%d pieces of four have a number: %+v", len(seen), all)
	}
	if got := numbersOf([]place{{1, 2}, {1, 5}, {2, 1}}); got != "pieces 2 and 5, and 1 of run 2" {
		t.Errorf("they read %q", got)
	}
}
