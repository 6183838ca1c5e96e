package wall

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// night is n prints between a card and 40x60 in, the tallest first, as a page hangs them.
func night(rnd *rand.Rand, n int) []Print {
	sizes := [][2]float64{{1524, 1016}, {914.4, 609.6}, {594, 420}, {420, 297}, {297, 210}, {210, 148}, {148, 105}, {900, 300}, {300, 900}, {3000, 250}}
	prints := make([]Print, n)
	for i := range prints {
		s := sizes[rnd.IntN(len(sizes))]
		if rnd.IntN(2) == 0 {
			s[0], s[1] = s[1], s[0]
		}
		prints[i] = Print{WidthMM: s[0], HeightMM: s[1], LeastPX: float64(20 + rnd.IntN(50))}
	}
	slices.SortStableFunc(prints, func(a, b Print) int { return cmp.Compare(b.HeightMM, a.HeightMM) })
	return prints
}

var screens = []Screen{
	{Width: 288, Height: 900, Gap: 10, Above: 16, Below: 16},
	{Width: 354, Height: 900, Gap: 10, Above: 16, Below: 16},
	{Width: 1240, Height: 560, Gap: 12, Above: 13, Below: 13},
	{Width: 2400, Height: 1200, Gap: 18, Above: 16, Below: 16},
}

// TestNothingOverlapsAndTheScaleIsOne for nights of all kinds on all screens.
func TestNothingOverlapsAndTheScaleIsOne(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	const eps = 1e-6
	for round := range 300 {
		prints, s := night(rnd, 1+rnd.IntN(220)), screens[round%len(screens)]
		w := Hang(prints, s)
		centre := map[int]float64{}
		for i, p := range w.Places {
			if math.Abs(p.Picture.Width-prints[i].WidthMM*w.PXPerMM) > eps || math.Abs(p.Picture.Height-prints[i].HeightMM*w.PXPerMM) > eps {
				t.Fatalf("print %d is not at the wall's scale: %+v", i, p)
			}
			if p.Target.Width < Target || p.Target.Height < Target || p.Target.Width < prints[i].LeastPX {
				t.Fatalf("print %d is too small to point at: %+v", i, p.Target)
			}
			if p.Target.X < -eps || p.Target.X+p.Target.Width > s.Width+eps || p.Target.Y < -eps || p.Target.Y+p.Target.Height > w.Height+eps {
				t.Fatalf("print %d hangs beside the wall: %+v of %g x %g", i, p.Target, s.Width, w.Height)
			}
			if !inside(p.Picture, p.Target) {
				t.Fatalf("print %d is beside its target: %+v", i, p)
			}
			at := p.Picture.Y + p.Picture.Height/2
			if c, known := centre[p.Row]; known && math.Abs(c-at) > eps {
				t.Fatalf("row %d has no common centre line: %g and %g", p.Row, c, at)
			}
			centre[p.Row] = at
			for k, o := range w.Places[:i] {
				if overlap(p.Target, o.Target) {
					t.Fatalf("prints %d and %d overlap", k, i)
				}
			}
		}
	}
}

func inside(a, b Rect) bool {
	const eps = 1e-6
	return a.X >= b.X-eps && a.Y >= b.Y-eps && a.X+a.Width <= b.X+b.Width+eps && a.Y+a.Height <= b.Y+b.Height+eps
}

func overlap(a, b Rect) bool {
	const eps = 1e-6
	return a.X < b.X+b.Width-eps && b.X < a.X+a.Width-eps && a.Y < b.Y+b.Height-eps && b.Y < a.Y+a.Height-eps
}

// TestANightFitsTheScreen as far as targets do.
func TestANightFitsTheScreen(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	desk := screens[2]
	for _, n := range []int{1, 9, 36, 200} {
		w := Hang(night(rnd, n), desk)
		if w.Height > desk.Height {
			t.Errorf("%d prints are %.0f px high on a screen of %.0f", n, w.Height, desk.Height)
		}
		if n > 1 && w.Height < desk.Height/2 && w.PXPerMM < MostPXPerMM {
			t.Errorf("%d prints use %.0f px of %.0f", n, w.Height, desk.Height)
		}
	}
	if w := Hang(night(rnd, 36), screens[1]); w.Height > screens[1].Height {
		t.Errorf("36 prints are %.0f px high on a phone", w.Height)
	}
}

func TestASmallPrintAloneIsNoPoster(t *testing.T) {
	if w := Hang([]Print{{WidthMM: 148, HeightMM: 105, LeastPX: 20}}, screens[2]); w.PXPerMM != MostPXPerMM {
		t.Errorf("a card alone is hung at %g px a mm", w.PXPerMM)
	}
	if w := Hang(nil, screens[2]); w.Height != 0 || len(w.Places) != 0 {
		t.Errorf("a wall of nothing: %+v", w)
	}
}

func TestWhatIsLongerThanAnyWallStillFits(t *testing.T) {
	w := Hang([]Print{{WidthMM: 1e6, HeightMM: 300, LeastPX: 20}, {WidthMM: 210, HeightMM: 148, LeastPX: 20}}, screens[0])
	if p := w.Places[0].Picture; p.Width > screens[0].Width+1e-6 {
		t.Errorf("a kilometre is %g px wide", p.Width)
	}
}

func TestAFanTakesTheRoomOfWhatShows(t *testing.T) {
	p := Print{WidthMM: 1500, HeightMM: 1000, More: 5, StepMM: 420}
	for _, c := range []struct{ scale, screen, width, height float64 }{
		{0.2, 1200, 300 + 5*92, 200},      // all in a line
		{0.2, 500, 300 + 2*92, 2*200 + 8}, // three in each of two
		{0.2, 300, 300, 6*200 + 5*8},
		{0.02, 300, 32 + 5*32, 24}, // bare targets
	} {
		if w, h := p.cell(c.scale, c.screen); math.Abs(w-c.width) > 1e-9 || math.Abs(h-c.height) > 1e-9 {
			t.Errorf("at %g on %g px: %g by %g, want %g by %g", c.scale, c.screen, w, h, c.width, c.height)
		}
	}
}
