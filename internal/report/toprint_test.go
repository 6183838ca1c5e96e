package report

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/photo"
	"sizewright/internal/printed"
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
	// Most of three are alike: the one that differs says its own.
	all = loads(s.packed("A4 lustre", "a.jpg", "Marsh Lustre", 1), s.packed("A4 baryta", "b.jpg", "", 1), s.packed("A4 lustre", "c.jpg", "Marsh Lustre", 1))
	said := 0
	for _, row := range all[0].Rows {
		if row.Driver != "" {
			said++
		}
	}
	if said != 1 || !strings.Contains(all[0].Driver, "Marsh Lustre") {
		t.Errorf("%d of three say their own beside %q", said, all[0].Driver)
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

// numbered makes a print one of an edition of 25, with the numbers.
func numbered(e record.Entry, numbers ...int) record.Entry {
	e.Record.Print.Edition = &record.Edition{Of: 25}
	for _, n := range numbers {
		e.Record.Print.Edition.Prints = append(e.Record.Print.Edition.Prints, record.Numbered{Number: n, File: fmt.Sprintf("marsh.%dof25.tif", n)})
	}
	return e
}

// What was on paper before, or came out spoiled, is in the list to print with its number.
func TestWhatIsToBePrintedAgainIsInTheListToPrint(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	s := newStudio(t)
	again, spoiled, partly := s.Made("A2", "again.jpg"), numbered(s.Made("A2", "spoiled.jpg"), 4, 5), numbered(s.Made("A2", "partly.jpg"), 6, 7)
	again = numbered(again, 3)
	again.Record.RepeatOf, again.Record.Reprint = "outbox/A2/again.json", true
	spoiled.Record.Marks = []record.Mark{{At: at}, {At: at, Number: 4, Spoiled: true}}
	partly.Record.Marks = []record.Mark{{At: at, Number: 6}}
	repeat := s.Made("A2", "repeat.jpg")
	repeat.Record.RepeatOf = "outbox/A2/repeat.json" // its print still waits
	earlier := numbered(s.Made("A3", "earlier.jpg"), 9)
	earlier.Record.Marks = []record.Mark{{At: at, Number: 9, Spoiled: true}}
	n := s.night()
	n.Records = []record.Entry{again, spoiled, partly, repeat}
	n.Outbox = &printed.Outbox{Spoiled: []record.Entry{spoiled, earlier}}
	_, list, _ := strings.Cut(s.page(n), ">To print<")
	list, _, _ = strings.Cut(list, ">Every print<")
	for _, want := range []string{
		"earlier.jpg for A3: print 9/25 again, since it came out spoiled", ">print 3/25 again: it was on paper before<",
		">print 4/25 again, since it came out spoiled<", ">print 7/25; the others are printed<",
	} {
		if strings.Count(list, want) != 1 {
			t.Errorf("%q is there %d times in %s", want, strings.Count(list, want), list)
		}
	}
	if strings.Contains(list, "repeat.jpg") || strings.Count(list, "spoiled.jpg") != 1 {
		t.Errorf("the list to print is %s", list)
	}
}

func TestALabelIsLinked(t *testing.T) {
	s := newStudio(t)
	e := s.Made("A2", "reeds.jpg")
	e.Record.Print.Labels = []string{"reeds.label.svg"}
	n := s.night()
	n.Records = []record.Entry{e}
	after(t, s.page(n), `<a href="../A2/reeds.label.svg" aria-label="Label for the back, reeds.label.svg">Label</a>`)
}

func TestAReprintTakesPaper(t *testing.T) {
	s := newStudio(t)
	e := s.packed("A4 lustre", "a.jpg", "", 1)
	e.Record.RepeatOf = "outbox/A4 lustre/first.json"
	if got := packing.Of([]record.Entry{e}); got != nil {
		t.Errorf("a repeat of what waits takes %+v", got)
	}
	e.Record.Reprint = true
	if got := packing.Of([]record.Entry{e}); got == nil || got.Estimate.Prints != 1 {
		t.Errorf("a reprint takes %+v", got)
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

func TestThePaperToLoadIsSaidAsFarAsItIsKnown(t *testing.T) {
	s := newStudio(t)
	roll, none, done := s.packed("A4 lustre", "a.jpg", "", 1), s.Made("A4", "b.jpg"), s.Made("A4", "d.jpg")
	done.Record.Marks = []record.Mark{{At: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)}}
	for _, c := range []struct {
		entries []record.Entry
		want    string
	}{
		{[]record.Entry{roll}, "0.3 m of roll"},
		{[]record.Entry{roll, none}, "0.3 m of roll; 1 print names no paper"},
		{[]record.Entry{none, done}, "0.06 m² to print; no paper is named"}, // 297 x 198 mm
		{[]record.Entry{s.TooSmall("A2", "c.jpg")}, " "},
	} {
		figure, of := paperFigure(packing.Of(c.entries), loads(c.entries...))
		if got := plain(figure + " " + of); got != c.want {
			t.Errorf("it says %q, want %q", got, c.want)
		}
	}
	all := loads(none, roll)
	if all[0].media == "" || all[1].media != "" {
		t.Error("what names no paper does not come last")
	}
}

func TestWhatTheRollHasNoRoomForIsNamed(t *testing.T) {
	s := newStudio(t)
	e, f := s.packed("A4 lustre", "a.jpg", "", 1), s.packed("A4 lustre", "b.jpg", "", 1)
	e.Record.Plan.Paper.Pack.WidthMM, f.Record.Plan.Paper.Pack.WidthMM = 700, 700
	left := loads(e, f)[0].Left
	if len(left) != 1 || !strings.HasPrefix(plain(left[0]), "No room for a.tif and b.tif. It is 700 mm wide") {
		t.Errorf("it says %q", left)
	}
}

func TestOfSeveralTheThingToDoIsSaidForEach(t *testing.T) {
	s := newStudio(t)
	c := photo.Caution{Code: "no-profile", Text: "no profile is embedded: sRGB was assumed"}
	if page := s.page(nightOf(s.Made("A4", "a.jpg", c), s.Made("A4", "b.jpg", c))); !strings.Contains(page, "<b>To do, for each:</b> Look at its colours.") {
		t.Error("two prints and \"its\"")
	}
	if page := s.page(nightOf(s.Made("A4", "a.jpg", c))); !strings.Contains(page, "<b>To do:</b> Look at its colours.") {
		t.Error("one print is each")
	}
}

func TestWhatOnePaperTakesIsSaidOnce(t *testing.T) {
	s := newStudio(t)
	one := nightOf(s.packed("A4 lustre", "a.jpg", "", 1))
	one.Paper = packing.Of(one.Records)
	page := plain(s.page(one))
	if got := strings.Count(page, "1 print: "); got != 1 {
		t.Errorf("it is said %d times", got)
	}
	if strings.Contains(page, "Cuts, in order") {
		t.Error("a heading over no cuts")
	}
}
