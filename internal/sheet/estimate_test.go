package sheet

import (
	"encoding/json"
	"math"
	"testing"
)

func TestAnEstimateByHand(t *testing.T) {
	// A roll 0.61 m wide, of which 0.906 m: 0.55266 m², at 20 a m² 11.0532. The printed area
	// is 0.6 x 0.9 = 0.54 m², at 9 m² an hour 0.06 h, and twice that in a mode that takes
	// twice as long.
	roll := RollOf("24 in", 610)
	roll.Modes = map[string]Mode{"fine": {Left, 0}}
	r := Rates{PerM2: 20, Currency: "EUR", M2PerHour: 9, ModeTimes: map[string]float64{"fine": 2}}
	e := r.Of(New(600, 900, roll, Options{Mode: "fine"}).Use())
	if !near(e.PaperM2, 0.55266) || !near(e.RollM, 0.906) || e.Sheets != 0 || !near(e.Cost[0].Amount, 11.0532) || !near(e.Hours, 0.12) {
		t.Errorf("%+v", e)
	}
	if got, want := e.String(), "1 print: 0.55 m² of paper, 0.91 m of roll; 11.05 EUR; 7 min"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if e := (Rates{PerMetre: 12}).Of(New(600, 900, roll, Options{}).Use()); !near(e.Cost[0].Amount, 12*0.906) {
		t.Errorf("%+v", e)
	}
	if e := (Rates{PerSheet: 1.5}).Of(New(100, 100, sized("A4"), Options{}).Use()); e.Sheets != 1 || e.RollM != 0 || e.Cost[0].Amount != 1.5 {
		t.Errorf("%+v", e)
	}
}

func TestOnlyWhatWasConfiguredIsShown(t *testing.T) {
	e := Rates{Currency: "EUR"}.Of(New(100, 100, sized("A4"), Options{}).Use())
	b, err := json.Marshal(e)
	if want := `{"prints":1,"paper_m2":0.06237,"ink_m2":0.01,"sheets":1}`; err != nil || string(b) != want {
		t.Errorf("%s, want %s", b, want)
	}
	if got, want := e.String(), "1 print: 0.06 m² of paper, 1 sheet"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := (Rates{PerM2: 1}).Of(New(900, 900, sized("A4"), Options{}).Use()); got.String() != "" {
		t.Errorf("what does not fit takes paper: %+v", got)
	}
}

func TestANightIsTheSumOfItsPrints(t *testing.T) {
	use := New(100, 100, sized("A4"), Options{}).Use()
	marks, crowns, free := Rates{PerSheet: 2, Currency: "EUR"}, Rates{PerSheet: 30, Currency: "kr", M2PerHour: 0.005}, Rates{}
	night := Estimate{}
	for _, r := range []Rates{marks, crowns, free, marks} {
		night = night.Plus(r.Of(use))
	}
	if got, want := night.String(), "4 prints: 0.25 m² of paper, 4 sheets; 4.00 EUR and 30.00 kr for 3 of them; 2 h 00 min for 1 of them"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	before := night
	_ = night.Plus(marks.Of(use))
	if night.Cost[0].Amount != before.Cost[0].Amount || night.Cost[0].Amount != 4 {
		t.Error("a sum changes what it was made of")
	}
}

func TestBadRatesAreSaidByTheirKey(t *testing.T) {
	for _, test := range []struct {
		rates Rates
		kind  Kind
		key   string
	}{
		{Rates{PerM2: -1}, Roll, "per_m2"},
		{Rates{M2PerHour: math.Inf(1)}, Roll, "m2_per_hour"},
		{Rates{PerM2: 1, PerSheet: 1}, CutSheet, "per_sheet"},
		{Rates{PerMetre: 1}, CutSheet, "per_metre"},
		{Rates{PerSheet: 1}, Roll, "per_sheet"},
		{Rates{ModeTimes: map[string]float64{"very fine": 0}}, Roll, `mode_times."very fine"`},
	} {
		if got := test.rates.Problems(test.kind); len(got) != 1 || got[0].Key != test.key {
			t.Errorf("%+v: %+v", test.rates, got)
		}
	}
	if got := (Rates{PerM2: 1, Currency: "EUR", M2PerHour: 5}).Problems(Roll); len(got) > 0 {
		t.Errorf("%+v", got)
	}
}

// 60 x 80 cm on rolls of 610 to 756 mm lies sideways. It takes its 800 mm and the 3 mm at
// either end that cannot be printed.
func TestASidewaysPrintTakesItsLongSideOfTheRoll(t *testing.T) {
	for _, width := range []float64{610, 644, 664, 756} {
		l := New(800, 600, RollOf("roll", width), Options{}).Upright()
		if e := (Rates{PerMetre: 10}).Of(l.Use()); !near(e.RollM, 0.806) || !near(e.PaperM2, 0.806*width/1000) || !near(e.Cost[0].Amount, 8.06) {
			t.Errorf("on a roll of %g mm it takes %+v", width, e)
		}
	}
}
