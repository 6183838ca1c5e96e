package printsize

import (
	"math"
	"slices"
	"testing"
)

// Arithmetic from ISO 216 and 1 in = 25.4 mm; 300 and 360 ppi are common
// practice, no source.
func TestPixelsThatCoverASize(t *testing.T) {
	tests := []struct {
		name string
		ppi  float64
		w, h int
	}{
		{"A2", 360, 5953, 8419},
		{"A4", 300, 2480, 3508},
		{"A4", 360, 2976, 4209},
		{"24x36in", 360, 8640, 12960},
		{"40x60in", 360, 14400, 21600},
		{"8x10in", 300, 2400, 3000},
		{"610x914mm", 360, 8646, 12954},
		{"24.5x30.5in", 361, 8845, 11011}, // 8844.5 and 11010.5: halves go up
	}
	for _, test := range tests {
		size := mustParse(t, test.name)
		if w, h := Pixels(size.WidthMM, test.ppi), Pixels(size.HeightMM, test.ppi); w != test.w || h != test.h {
			t.Errorf("%s at %v ppi is %d x %d pixels, want %d x %d", test.name, test.ppi, w, h, test.w, test.h)
		}
	}
}

// Every inch and half inch, at every whole resolution: the decimal answer.
func TestPixelsOfInchesAreExact(t *testing.T) {
	for half := 1; half <= 200; half++ {
		mm := newDecimal("0", "5").times(half)
		for ppi := 72; ppi <= 1440; ppi++ {
			want := (half*ppi + 1) / 2
			if got := Pixels(units[0].mm(mm), float64(ppi)); got != want {
				t.Fatalf("%v in at %d ppi is %d pixels, want %d", mm, ppi, got, want)
			}
		}
	}
}

func (d decimal) times(n int) decimal { return decimal{tenThousandths: d.tenThousandths * int64(n)} }

func TestPixelsOfNothing(t *testing.T) {
	for _, mm := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if got := Pixels(mm, 360); got != 0 {
			t.Errorf("%v mm is %d pixels", mm, got)
		}
		if got := Pixels(210, mm); got != 0 {
			t.Errorf("210 mm at %v ppi is %d pixels", mm, got)
		}
	}
}

func TestOrientationFollowsThePicture(t *testing.T) {
	for _, name := range []string{"24x36in", "36x24in"} {
		size := mustParse(t, name)
		if w, h := size.Fit(true); w != 914.4 || h != 609.6 {
			t.Errorf("a landscape picture on %s is %v x %v mm", name, w, h)
		}
		if w, h := size.Fit(false); w != 609.6 || h != 914.4 {
			t.Errorf("a portrait picture on %s is %v x %v mm", name, w, h)
		}
	}
}

func TestTheLadderGoesUp(t *testing.T) {
	sizes := Known()
	for i := 1; i < len(sizes); i++ {
		if sizes[i].AreaMM2() <= sizes[i-1].AreaMM2() {
			t.Errorf("%v is no larger than %v", sizes[i], sizes[i-1])
		}
	}
	for _, name := range []string{"A6", "A4", "A2", "A0", "24x36in", "40x60in"} {
		if !slices.Contains(sizes, mustParse(t, name)) {
			t.Errorf("%s is missing", name)
		}
	}
	sizes[0].Name = "spoilt"
	if Known()[0].Name == "spoilt" {
		t.Error("one caller's changes reach the next")
	}
}
