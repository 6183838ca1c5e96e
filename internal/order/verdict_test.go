package order

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/vision"
)

// sharp is an ordinary sharp photograph, and twice what an enlargement of it by two holds.
var (
	sharp = Measured{Resolution: 0.65, EffectiveMP: 11}
	twice = Measured{Resolution: 0.325, EffectiveMP: 2.7, Enlarged: 2}
)

// at is a picture of 3:2 with so many pixels an inch when it lies within a size.
func at(t *testing.T, size string, ppi float64) (width, height int) {
	t.Helper()
	s, err := printsize.ParseSize(size)
	if err != nil {
		t.Fatal(err)
	}
	mm := min(s.LongMM(), 1.5*s.ShortMM())
	width = int(math.Round(ppi * mm / printsize.MMPerInch))
	return width, int(math.Round(float64(width) / 1.5))
}

func megapixels(mp float64) (width, height int) {
	h := math.Sqrt(mp * 1e6 / 1.5)
	return int(math.Round(1.5 * h)), int(math.Round(h))
}

// Common practice, no source: what print rooms make as a matter of course, what they have
// a second look at and what they do not make.
func TestTheVerdictIsTheTrades(t *testing.T) {
	for _, row := range []struct {
		size   string
		ppi    float64 // of a 3:2 picture at that size, or
		mp     float64 // its megapixels
		want   vision.Verdict
		enough bool // "carries" will do as well
	}{
		{size: "4x6in", ppi: 300, want: vision.Carries},
		{size: "10x15cm", ppi: 304, want: vision.Carries},
		{size: "A6", ppi: 240, want: vision.Carries},
		{size: "13x18cm", ppi: 240, want: vision.Carries},
		{size: "A5", ppi: 240, want: vision.Carries},
		{size: "A5", ppi: 200, want: vision.Carries},
		{size: "A4", ppi: 200, want: vision.Carries},
		{size: "A4", ppi: 150, want: vision.LookCloser},
		{size: "A6", ppi: 100, want: vision.TooSmall},
		{size: "A4", ppi: 90, want: vision.TooSmall},
		{size: "24x36in", mp: 26, want: vision.Carries},
		{size: "24x36in", mp: 15, want: vision.LookCloser, enough: true},
		{size: "24x36in", mp: 12, want: vision.LookCloser},
		{size: "40x60in", mp: 26, want: vision.LookCloser},
		{size: "24x36in", mp: 0.96, want: vision.TooSmall}, // 1200 x 800 px
		{size: "40x60in", mp: 0.96, want: vision.TooSmall},
		// Where practice is silent; see Resolution.
		{size: "24x36in", mp: 6, want: vision.TooSmall},
		{size: "A2", mp: 6, want: vision.LookCloser},
	} {
		w, h := at(t, row.size, row.ppi)
		if row.mp > 0 {
			w, h = megapixels(row.mp)
		}
		o := asked(t, row.size, nil)
		p := NewPlan(picture(w, h), o).WithMeasurement(sharp, o)
		name := fmt.Sprintf("%d x %d px at %s (%.0f ppi)", w, h, row.size, p.Resolution.NativePPI)
		if v := p.Resolution.Verdict; v != row.want && !(row.enough && v == vision.Carries) {
			t.Errorf("%s: %s, want %s", name, v, row.want)
		}
		switch v := p.Resolution.Verdict; {
		case (p.Refusal != nil) != (v == vision.TooSmall):
			t.Errorf("%s: %s, and the refusal is %+v", name, v, p.Refusal)
		case has(p, lowResolution.Code) != (v == vision.LookCloser):
			t.Errorf("%s: %s, with the cautions %+v", name, v, p.Cautions)
		case v == vision.Carries && len(p.Cautions) != 1: // it has no profile
			t.Errorf("%s: carries it, and %+v are said", name, p.Cautions)
		}
		half := NewPlan(picture(w/2, h/2), o).WithMeasurement(sharp, o).Resolution
		enlarged := NewPlan(picture(w/2*2, h/2*2), o).WithMeasurement(twice, o).Resolution
		if enlarged.Verdict != half.Verdict || math.Abs(enlarged.CountedMostPPI-half.CountedMostPPI) > 0.11 {
			t.Errorf("%s, enlarged twice before: %+v, what it was enlarged from: %+v", name, enlarged, half)
		}
	}
}

func TestTheVerdictFollowsPixelsDetailAndSize(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	rank := map[vision.Verdict]int{vision.Carries: 0, vision.LookCloser: 1, vision.TooSmall: 2}
	verdict := func(w, h int, mm float64, m Measured) int {
		o := asked(t, fmt.Sprintf("%.0fx%.0fmm", mm, mm/1.4), nil)
		return rank[NewPlan(picture(w, h), o).WithMeasurement(m, o).Resolution.Verdict]
	}
	for range 150 {
		w := 300 + r.IntN(9000)
		h := w/2 + r.IntN(w/2)
		mm := 50 * math.Exp(3.3*r.Float64())
		m := Measured{Resolution: 0.05 + 0.9*r.Float64()}
		v := verdict(w, h, mm, m)
		if larger := verdict(w, h, mm*(1+0.3*r.Float64()), m); larger < v {
			t.Errorf("%d x %d px are carried further than %.0f mm", w, h, mm)
		}
		if more := verdict(w*5/4, h*5/4, mm, m); more > v {
			t.Errorf("%d x %d px at %.0f mm are better than more", w, h, mm)
		}
		finer := m
		finer.Resolution = min(1, 1.2*m.Resolution)
		if verdict(w, h, mm, finer) > v {
			t.Errorf("%d x %d px at %.0f mm: the softer picture is carried further", w, h, mm)
		}
	}
}

// A sharp photograph whose measure is a hundredth short of an ordinary one's is no other
// photograph.
func TestAHundredthOfDetailDecidesNothing(t *testing.T) {
	o := asked(t, "A4", nil)
	w, h := at(t, "A4", 220)
	for _, resolution := range []float64{0.593, 0.6} {
		p := NewPlan(picture(w, h), o).WithMeasurement(Measured{Resolution: resolution}, o)
		if v := p.Resolution.Verdict; v != vision.Carries {
			t.Errorf("%d x %d px at A4 with detail for %v of them: %s", w, h, resolution, v)
		}
	}
}

// A third of the grid counts for 0.33 to 0.33 / 0.75 of the pixels: 69 to 92 of 208
// ppi at 20x30 in.
func TestASoftFileIsJudgedByWhatItHolds(t *testing.T) {
	soft := Measured{Resolution: 1. / 3, EffectiveMP: 2.9}
	o := asked(t, "20x30in", nil)
	p := NewPlan(picture(6240, 4160), o)
	q := p.WithMeasurement(soft, o)
	if r := q.Resolution; r.Verdict != vision.LookCloser || r.NativePPI != 208 || r.DetailPPI != 69.3 || math.Abs(r.CountedMostPPI-92.4) > 0.1 || r.Counts() != "69 to 92 ppi" {
		t.Errorf("measured: %+v", r)
	}
	if p.Measured != nil || p.Resolution.DetailPPI != 0 {
		t.Error("the plan that was asked has changed")
	}
	o = asked(t, "40x60in", nil)
	q = NewPlan(picture(6240, 4160), o).WithMeasurement(soft, o)
	if q.Refusal == nil || q.Refusal.Code != tooLittleDetail.Code {
		t.Fatalf("not held: %+v", q.Refusal)
	}
	for _, word := range []string{"26 MP", "about 2.9 MP", "estimate", "35 to 46 ppi"} {
		if !strings.Contains(q.Refusal.Text, word) {
			t.Errorf("%q lacks %q", q.Refusal.Text, word)
		}
	}
	for name, m := range map[string]Measured{
		"a sharp one":                  {Resolution: 0.9},
		"one whose detail is unknown":  {},
		"mist, which has none to lack": {Resolution: 0.1, Plain: true},
	} {
		if r := NewPlan(picture(6240, 4160), o).WithMeasurement(m, o).Resolution; r.Verdict != vision.LookCloser || r.CountedLeastPPI != 104 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

func TestARoomMayHaveItMadeAsLargeAsItCarriesOrAllTheSame(t *testing.T) {
	with := func(what config.TooSmall) *Plan {
		o := asked(t, "A2", func(s *config.Settings) { s.TooSmall = what })
		return NewPlan(picture(1800, 1200), o).WithMeasurement(sharp, o)
	}
	held, smaller, made := with(config.TooSmallHold), with(config.TooSmallLargest), with(config.TooSmallMake)
	if held.Refusal == nil || held.Resolution.Verdict != vision.TooSmall || held.Refusal.Size != "16x20in" {
		t.Errorf("held: %+v", *held.Refusal)
	}
	if smaller.Refusal != nil || !has(smaller, madeSmaller.Code) || !smaller.Resolution.MadeSmaller || smaller.Resolution.Verdict != vision.LookCloser {
		t.Errorf("made smaller: %+v, %+v", smaller.Resolution, smaller.Cautions)
	}
	if s, r := smaller.Print, held.Refusal; math.Abs(s.WidthMM-r.WidthMM) > 0.1 || s.WidthMM < 400 || s.Width != smaller.Recipe().Print.Width {
		t.Errorf("made at %.1f mm, and would carry %v mm", s.WidthMM, r.WidthMM)
	}
	if smaller.Size != held.Size {
		t.Errorf("it was asked for as %+v", smaller.Size)
	}
	if made.Refusal != nil || made.Resolution.Verdict != vision.TooSmall || !has(made, madeTooSmall.Code) || made.Print != held.Print {
		t.Errorf("made all the same: %+v, %+v", made.Refusal, made.Cautions)
	}
	// A picture that carries the size is made as it was asked for, whatever the room does else.
	o := asked(t, "A2", func(s *config.Settings) { s.TooSmall = config.TooSmallLargest })
	if p := NewPlan(picture(6240, 4160), o).WithMeasurement(sharp, o); len(p.Cautions) != 1 || p.Print.WidthMM < 593 {
		t.Errorf("one that carries it is made at %v mm", p.Print.WidthMM)
	}
	// What no print can be made of is held.
	o.Settings.TooSmall = config.TooSmallLargest
	if p := NewPlan(picture(20, 15), o); p.Refusal == nil {
		t.Error("a print of less than 1 cm was made")
	}
}

// The size that a held print names is carried, and no larger one that has a name is.
func TestTheSizeNamedIsTheLargestThatIsCarried(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 52))
	known, named := printsize.Known(), 0
	for range 120 {
		w := 200 + r.IntN(5000)
		src := picture(w, int(float64(w)*(0.4+1.6*r.Float64())))
		m := Measured{Resolution: 0.2 + 0.8*r.Float64(), EffectiveMP: 1}
		acuity, fill := 0.5+1.5*r.Float64(), r.IntN(2) == 0
		set := func(s *config.Settings) {
			if s.Acuity = acuity; fill {
				s.Fit = config.FitFill
			}
		}
		at := func(folder string) *Plan {
			o := asked(t, folder, set)
			return NewPlan(src, o).WithMeasurement(m, o)
		}
		no := at(known[r.IntN(len(known))].Name).Refusal
		if no == nil {
			continue
		}
		next := 0
		if no.Size != "" {
			named++
			next = 1 + slices.IndexFunc(known, func(s printsize.Size) bool { return s.Name == no.Size })
			if p := at(no.Size); p.Refusal != nil {
				t.Errorf("%d x %d px, detail %.3f, filled: %v: held for %s, which it was told to carry: %s", src.Width, src.Height, m.Resolution, fill, no.Size, p.Refusal.Text)
			}
		}
		for _, larger := range known[next:] {
			if at(larger.Name).Refusal == nil {
				t.Errorf("%d x %d px, detail %.3f, filled: %v: told to carry %q at the most, and it carries %s", src.Width, src.Height, m.Resolution, fill, no.Size, larger.Name)
			}
		}
	}
	if named < 20 {
		t.Errorf("only %d were held with a size", named)
	}
}

// A folder of another size may ask for more or less, and it is for that folder's order to
// say whether it is carried.
func TestTheSizeNamedIsJudgedByItsOwnFolder(t *testing.T) {
	src := picture(1800, 1200)
	for table, want := range map[string]string{
		"": "16x20in",
		"[folder.\"16x20in\"]\nminimum_ppi = 150\n": "A3+", "[folder.\"A2\"]\nminimum_ppi = 72\n": "A2", "[folder.\"Fair/A2\"]\nminimum_ppi = 72\n": "16x20in",
	} {
		c, err := config.Parse("sizewright.toml", []byte(table))
		if err != nil {
			t.Fatal(err)
		}
		o, err := NewOrder("24x36in", c)
		if err != nil {
			t.Fatal(err)
		}
		no := NewPlan(src, o).WithMeasurement(sharp, o).Refusal
		if no == nil || no.Size != want {
			t.Errorf("%q: held with %+v, want %s", table, no, want)
		}
	}
}

func TestOneMadeSmallerIsCroppedAsAsked(t *testing.T) {
	o := asked(t, "50x50cm", func(s *config.Settings) { s.TooSmall, s.Fit = config.TooSmallLargest, config.FitFill })
	p := NewPlan(picture(1800, 1200), o).WithMeasurement(sharp, o)
	if p.Print.Width != p.Print.Height || p.Print.WidthMM > 400 || p.Crop.Height != 1200 || !p.Resolution.MadeSmaller {
		t.Errorf("print %+v, crop %+v", p.Print, p.Crop)
	}
}
