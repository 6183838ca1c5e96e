package detail

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"testing"
)

// Bare edges have no texture whose end could be seen, and sharpening lifts what
// interpolation left beyond it. Tolerance 15 %. Each kernel meets each factor, every
// other one sharpened.
func TestBareEdgesSayByHowMuchTheyWereEnlarged(t *testing.T) {
	t.Parallel()
	p := discs(448, 448, 0.5, 0.6, 0.6).noisy(0.002)
	if got := factorOf(t, p, grey8); got != 1 {
		t.Errorf("as they are: taken for enlarged %.2f times", got)
	}
	for k, name := range slices.Sorted(maps.Keys(kernels)) {
		for i, by := range []float64{1.5, 2, 3} {
			q := p.enlarged(by, kernels[name])
			sharpened := (k+i)%2 == 1
			if sharpened {
				q = q.sharpened(1.2, 1.2)
			}
			if got := factorOf(t, q, grey8); off(got, by) > 0.15 {
				t.Errorf("%s, %v times, sharpened: %v: found %.2f", name, by, sharpened, got)
			}
		}
	}
}

// What looks like an enlargement and is none: blur, blocks of a JPEG as it is,
// weaves, and the blocks of a JPEG that was reduced since.
func TestAPictureThatWasNotEnlargedIsNotAccused(t *testing.T) {
	texture := field(512, seenThrough(gaussian(0.7))).noisy(0.004)
	for name, p := range map[string]picture{
		"texture": texture, "blurred": field(512, seenThrough(gaussian(2))).noisy(0.002), "edges": scene(512, 512), "moved": field(512, seenThrough(motion(5, 0))),
		"woven": paint(512, 512, func(x, y float64) float64 { return 0.5 + 0.1*math.Sin(2*math.Pi*x/3.1) + 0.1*math.Sin(2*math.Pi*y/3.1) }).noisy(0.004),
	} {
		for _, form := range []string{grey8, "60.jpg", "75.jpg", "85.jpg", "95.jpg"} {
			if got := factorOf(t, p, form); got != 1 {
				t.Errorf("%s, %s: taken for enlarged %.2f times", name, form, got)
			}
		}
	}
	for _, quality := range []int{70, 90} {
		stored := coarseOf(pageOf(texture.in(t, fmt.Sprintf("%d.jpg", quality))), 1)
		p := paint(512, 512, func(x, y float64) float64 { return float64(stored.pix[int(y)*512+int(x)]) })
		for _, by := range []float64{1.25, 1.5, 2} {
			area := kernel{3 * by, func(x float64) float64 { return sinc(x/by) * sinc(x/by/3) }}
			if got := factorOf(t, p.enlarged(1/by, area), grey8); got != 1 {
				t.Errorf("JPEG %d, reduced %v times: taken for enlarged %.2f times", quality, by, got)
			}
		}
	}
}

// The nearest neighbour's doubled pixels are counted; a chessboard, which is the same to
// look at but has two levels, is a drawing and as it should be.
func TestDoubledPixelsAreCountedAndAChessboardIsNone(t *testing.T) {
	small := field(256, seenThrough(gaussian(0.7))).noisy(0.004)
	own := spectrumOf(t, small, grey8).Resolution
	for _, n := range []int{2, 3, 4, 10} {
		big := paint(256*n, min(256*n, 640), func(x, y float64) float64 { return small.v[int(y)/n*256+int(x)/n] })
		s := spectrumOf(t, big, grey8)
		if s.Enlarged != float64(n) {
			t.Errorf("every pixel %d times: taken for enlarged %.3f times", n, s.Enlarged)
		}
		if r := s.Resolution * float64(n); off(r, own) > 0.25 {
			t.Errorf("every pixel %d times: resolution %.3f, times %d %.3f, not %.3f", n, s.Resolution, n, r, own)
		}
	}
	for _, cell := range []int{1, 2, 5, 8, 16, 20, 32} {
		p := paint(640, 512, func(x, y float64) float64 { return 0.2 + 0.6*float64((int(x)/cell+int(y)/cell)&1) })
		if got := factorOf(t, p, grey8); got != 1 {
			t.Errorf("a chessboard of %d px: taken for enlarged %.3f times", cell, got)
		}
	}
}

// A soft texture without noise repeats a little at every frequency, blocks' among
// them.
func TestASoftPictureWithoutNoiseIsNotAccused(t *testing.T) {
	for _, sigma := range []float64{2, 3} {
		if got := factorOf(t, field(1024, seenThrough(gaussian(sigma))), grey16); got != 1 {
			t.Errorf("blurred by %v px: taken for enlarged %.2f times", sigma, got)
		}
	}
}

// Where JPEG stores what was enlarged, it takes the trace first of all; but what
// is found is right. Tolerance 2 %; found in all at 95, at 85 it may be gone.
func TestJPEGMayHideAnEnlargementAndChangesNoFactor(t *testing.T) {
	p := field(512, seenThrough(gaussian(0.7))).noisy(0.004)
	for _, by := range []float64{1.5, 2, 3} {
		big := p.enlarged(by, kernels["Catmull-Rom"])
		for form, hidden := range map[string]bool{jpeg95: false, jpeg85: true} {
			if got := factorOf(t, big, form); off(got, by) > 0.02 && !(hidden && got == 1) {
				t.Errorf("%v times, %s: found %.2f", by, form, got)
			}
		}
	}
}

// Brought back, an enlarged texture is as it was: with Catmull-Rom, which keeps the
// samples, it differs by no more than 5 % of its contrast.
func TestAnEnlargedPictureIsBroughtBack(t *testing.T) {
	p := field(256, seenThrough(gaussian(1)))
	for _, by := range []float64{1.5, 2, 3} {
		back := pageOf(p.turned().turned().turned().enlarged(by, kernels["Catmull-Rom"]).in(t, grey16)).reduced(by)
		if back.w != 256 || back.h != 256 {
			t.Fatalf("%v times: brought back to %d x %d", by, back.w, back.h)
		}
		read, row, sum, n := back.reader(), make([]float32, back.w), 0.0, 0.0
		for y := 8; y < back.h-8; y++ {
			read.read(y, row)
			for x := 8; x < back.w-8; x++ {
				d := float64(row[x]) - p.v[y*p.w+x]
				sum, n = sum+d*d, n+1
			}
		}
		if share := math.Sqrt(sum/n) / 0.1; share > 0.05 {
			t.Errorf("%v times: differs by %.3f of the contrast", by, share)
		}
	}
}

// Where a doubled photograph was stored as JPEG, its own trace may be fainter than the blocks'
// repeats from the fifth on, which are as strong as that in the empty band. House judgement:
// quality 92. Blurred and stored the same way, it is not accused.
func TestADoublingIsSeenAmongJPEGsBlocks(t *testing.T) {
	for i, name := range []string{"Autumn", "ColorfulCups", "OneStandsOut", "Kite"} {
		at := spots[name]
		small := cropOf(t, wallpaper(t, name), at[0], at[1], 400, 300, 2)
		kernel := []string{"Lanczos", "Catmull-Rom"}[i%2]
		if got := factorOf(t, small.enlarged(2, kernels[kernel]), "92.jpg"); off(got, 2) > 0.01 {
			t.Errorf("%s, doubled by %s: found %.3f", name, kernel, got)
		}
		for _, form := range []string{"92.jpg", "80.jpg"} {
			if got := factorOf(t, small.enlarged(1, blurs[0].kernel), form); got != 1 {
				t.Errorf("%s, blurred, %s: taken for enlarged %.3f times", name, form, got)
			}
		}
	}
}

// A picture of hundreds of megapixels is not held in memory averaged or brought back, and is
// read alike.
func TestALargePictureIsMeasuredAsASmallOne(t *testing.T) {
	defer func(most int) { mostHeld = most }(mostHeld)
	soft := field(512, seenThrough(gaussian(2))).noisy(0.004)
	for _, p := range []picture{soft, field(256, seenThrough(gaussian(0.7))).enlarged(2, kernels["Catmull-Rom"])} {
		src := p.in(t, grey16)
		m := Measure(src)
		mostHeld = 64_000_000
		want := MeasureSpectrum(src, m)
		mostHeld = 0
		if got := MeasureSpectrum(src, m); !reflect.DeepEqual(got, want) {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}
