package main

import (
	"math"
	"path/filepath"
	"testing"
)

// stepped is dark to the left and bright to the right of column at.
func stepped(at int, dark, bright float32) *raster {
	r := newRaster(96, 96)
	for c := range r.plane {
		for i := range r.plane[c] {
			r.plane[c][i] = dark
			if i%96 >= at {
				r.plane[c][i] = bright
			}
		}
	}
	return r
}

func shifted(r *raster, by func(x int, v float32) float32) *raster {
	o := newRaster(r.width, r.height)
	for c := range r.plane {
		for i, v := range r.plane[c] {
			o.plane[c][i] = by(i%r.width, v)
		}
	}
	return o
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

// An error of 0.01 everywhere is 40 dB by the definition.
func TestPSNROfAnEvenError(t *testing.T) {
	r := stepped(48, 0.2, 0.8)
	s := newReference(r, 2).score(shifted(r, func(_ int, v float32) float32 { return v + 0.01 }))
	near(t, "PSNR of luma", s.psnr, 40, 1e-3)
	near(t, "PSNR of RGB", s.rgb, 40, 1e-3)
}

func TestSSIMOfAPictureWithItselfIsOne(t *testing.T) {
	r := stepped(48, 0.2, 0.8)
	near(t, "SSIM", newReference(r, 3).score(r).ssim, 1, 1e-6)
}

// For two flat pictures only the luminance term is left, (2ab+C1)/(a²+b²+C1): equation 6 of
// the paper, with C1 = 0.01².
func TestSSIMOfFlatPicturesIsTheLuminanceTerm(t *testing.T) {
	s := newReference(stepped(0, 0, 0.5), 2).score(stepped(0, 0, 0.25))
	near(t, "SSIM", s.ssim, (2*0.5*0.25+1e-4)/(0.25+0.0625+1e-4), 1e-4)
}

// Of the four columns within 2 of an edge at 2x, one overshoots by 0.1: a quarter of 10 %.
func TestOvershootIsWhatGoesBeyondTheReferencesOwnRange(t *testing.T) {
	r := stepped(48, 0.2, 0.8)
	s := newReference(r, 2).score(shifted(r, func(x int, v float32) float32 {
		if x == 49 || x == 60 { // column 60 is flat, so it is not an edge's halo
			return v + 0.1
		}
		return v
	}))
	near(t, "mean overshoot", s.over, 2.5, 1e-4)
	near(t, "its 99.9th percentile", s.over999, 10, 1e-4)
}

func TestASoftEdgeIsNoOvershoot(t *testing.T) {
	r := stepped(48, 0.2, 0.8)
	s := newReference(r, 2).score(shifted(r, func(x int, v float32) float32 {
		if x == 47 || x == 48 {
			return 0.5
		}
		return v
	}))
	near(t, "mean overshoot", s.over, 0, 1e-4) // luma's weights sum to 1 except for rounding
}

// Half black and half white is half the light: sRGB 187.5 of 255, IEC 61966-2-1.
func TestReducingAveragesLight(t *testing.T) {
	r := stepped(1, 0, 1)
	near(t, "black and white side by side", 255*float64(reduce(r, 2).plane[1][0]), 187.52, 0.01)
}

func TestSmallPicturesAreWrittenToTheirLastBit(t *testing.T) {
	r := stepped(48, 12345./65535, 54321./65535)
	path := filepath.Join(t.TempDir(), "small.png")
	if err := writePNG(path, r); err != nil {
		t.Fatal(err)
	}
	got, err := open(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range r.plane[2] {
		if sixteen(got.plane[2][i]) != sixteen(v) {
			t.Fatalf("sample %d came back as %d, not %d", i, sixteen(got.plane[2][i]), sixteen(v))
		}
	}
}
