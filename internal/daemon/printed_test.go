package daemon

import (
	"testing"

	"sizewright/internal/config"
)

// configure gives a studio another configuration.
func configure(t *testing.T, o Options, toml string) Options {
	t.Helper()
	cfg, err := config.Parse("sizewright.toml", []byte(toml))
	if err != nil {
		t.Fatal(err)
	}
	o.Config = cfg
	return o
}

// Who drops a picture again for more copies asks for those, and not for as many as the
// first time.
func TestARepeatAsksForItsOwnCopies(t *testing.T) {
	paper := quick + "price_per_metre = 10\nmedia = 'roll'\n"
	roll := "[media.roll]\nkind = 'roll'\nwidth_mm = 400\n"
	s, o := newStudio(t, "20x30mm", paper+roll)
	data := jpegOf(t, 360, 240)
	drop(t, s, "20x30mm", "marsh.jpg", data)
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	drop(t, s, "20x30mm", "marsh.jpg", data)
	if _, err := Once(t.Context(), configure(t, o, paper+"copies = 3\n"+roll)); err != nil {
		t.Fatal(err)
	}
	first, again := readRecord(t, s, "outbox/20x30mm/marsh.json"), readRecord(t, s, "outbox/20x30mm/marsh-2.json")
	if again.RepeatOf == "" || first.Plan.Copies() != 1 || again.Plan.Copies() != 3 {
		t.Errorf("copies: %d, and of its repeat %d", first.Plan.Copies(), again.Plan.Copies())
	}
	if one, three := first.Plan.Paper.Estimate, again.Plan.Paper.Estimate; three.Prints != 3*one.Prints {
		t.Errorf("the repeat's estimate is of %d prints, the first of %d", three.Prints, one.Prints)
	}
}
