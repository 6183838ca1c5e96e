package order

import (
	"math"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/photo"
)

// One file is made and printed so many times: paper, cost and time are of all of them,
// and the identity is of the file.
func TestCopiesCountInPaperAndCostAndMakeNoOtherPrint(t *testing.T) {
	cfg, err := config.Parse("sizewright.toml", []byte("[media.a2]\nkind = 'sheet'\nwidth_mm = 460\nlength_mm = 650\n[print]\nmedia = ['a2']\nfit = 'fill'\nprice_per_sheet = 4\npace_m2_per_hour = 2\n[folder.\"Marsh/A2\"]\ncopies = 2\n"))
	if err != nil {
		t.Fatal(err)
	}
	info := &photo.Info{Format: "JPEG", Width: 6000, Height: 4000, Orientation: 1, Bits: 8, Model: photo.RGB}
	of := func(folder string) *Decision {
		o, err := NewOrder(folder, cfg)
		if err != nil {
			t.Fatal(err)
		}
		return &Decision{Request: Request{Order: o}, Plan: NewPlan(info, o)}
	}
	one := of("A2")
	for folder, copies := range map[string]int{"A2": 1, "A2 x3": 3, "Marsh/A2": 2, "Marsh/A2 x5": 5} {
		d := of(folder)
		got, want := d.Plan.Paper.Estimate, one.Plan.Paper.Estimate
		if d.Plan.Copies() != copies || got.Prints != copies || got.Sheets != copies || got.Cost[0].Amount != float64(copies)*want.Cost[0].Amount || math.Abs(got.Hours-float64(copies)*want.Hours) > 1e-12 {
			t.Errorf("%s: %d copies use %+v, one uses %+v", folder, d.Plan.Copies(), got, want)
		}
		if d.Identity("x") != one.Identity("x") {
			t.Errorf("%s has another identity", folder)
		}
	}
}
