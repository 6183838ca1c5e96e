package colour

import (
	"image"
	"image/color"
	"math"
	"testing"
)

// Simulations of colour-vision deficiency in linear sRGB.
var deficiencies = []struct {
	name   string
	matrix [3][3]float64
	from   string
}{
	{"protanopia", [3][3]float64{{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}},
		"Viénot, Brettel and Mollon, Color Res. Appl. 24 (1999) (for sRGB, from memory)"},
	{"deuteranopia", [3][3]float64{{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}},
		"Viénot, Brettel and Mollon, Color Res. Appl. 24 (1999) (for sRGB, from memory)"},
	{"tritanopia", [3][3]float64{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
		"Machado, Oliveira and Fernandes, IEEE Trans. Vis. Comput. Graph. 15 (2009), severity 1 (from memory)"},
	{"no colour at all", [3][3]float64{{0.2225, 0.7169, 0.0606}, {0.2225, 0.7169, 0.0606}, {0.2225, 0.7169, 0.0606}},
		"the luminance row of sRGB's matrix"},
}

// seen returns a scale colour after a simulation.
func seen(c Lab, matrix [3][3]float64) Lab {
	lin := mulVec(matrix, mulVec(toLinearSRGB(), c.XYZ()))
	for i, v := range lin {
		lin[i] = min(max(v, 0), 1)
	}
	return XYZ(mulVec(SRGB.Matrix(), lin)).Lab()
}

func TestTheScaleOnlyGetsLighterForEveryEye(t *testing.T) {
	scale := mapScale()
	for _, d := range deficiencies {
		for i := 1; i < len(scale); i++ {
			if a, b := seen(scale[i-1], d.matrix), seen(scale[i], d.matrix); b[0] <= a[0] {
				t.Errorf("%s (%s): step %d goes from lightness %.2f to %.2f", d.name, d.from, i, a[0], b[0])
			}
		}
		first, last := seen(scale[0], d.matrix), seen(scale[255], d.matrix)
		if last[0]-first[0] < 55 {
			t.Errorf("%s: the scale spans only %.0f of lightness", d.name, last[0]-first[0])
		}
		// The four numbers of the legend must be distinguishable.
		for _, pair := range [][2]int{{1, 3}, {3, 6}, {6, 12}} {
			at := func(miss int) Lab { return seen(scale[(miss-minDrawn)*255/(maxDrawn-minDrawn)], d.matrix) }
			if e := deltaE(at(pair[0]), at(pair[1])); e < 8 {
				t.Errorf("%s: %d and %d are only %.1f apart", d.name, pair[0], pair[1], e)
			}
		}
	}
}

func TestTheScaleIsEven(t *testing.T) {
	scale := mapScale()
	mean := 0.0
	for i := 1; i < len(scale); i++ {
		mean += deltaE(scale[i-1], scale[i]) / float64(len(scale)-1)
	}
	for i := 1; i < len(scale); i++ {
		if d := deltaE(scale[i-1], scale[i]); math.Abs(d-mean) > 0.02*mean { // within 2 %
			t.Errorf("step %d is %.4f CIEDE2000, the mean is %.4f", i, d, mean)
		}
	}
}

func TestTheScaleFitsAScreen(t *testing.T) {
	for i, c := range mapScale() {
		for _, v := range mulVec(toLinearSRGB(), c.XYZ()) {
			if v < 0 || v > 1 {
				t.Errorf("colour %d, %.1f, is outside sRGB", i, c)
			}
		}
	}
}

func TestTheScaleStandsOutFromTheGround(t *testing.T) {
	for l := range 101 {
		g := ground(float64(l))
		for _, d := range deficiencies[:3] {
			if e := deltaE(seen(g, d.matrix), seen(mapScale()[0], d.matrix)); e < 5 {
				t.Errorf("%s: the least miss is %.1f from the ground of lightness %d", d.name, e, l)
			}
		}
	}
}

func grey(c color.Color) bool {
	r, g, b, _ := c.RGBA()
	near := func(a, b uint32) bool { return max(a, b)-min(a, b) <= 3*257 }
	return near(r, g) && near(g, b)
}

func TestTheMapDrawsTheMissAndNothingElse(t *testing.T) {
	patch := image.Rect(130, 70, 190, 95)
	pic := planted(300, 200, map[image.Rectangle][3]float64{patch: {0.85, 0.10, 0.05}})
	img := measure(t, pic, mustProfile(ROMMProfile()), mustProfile(SRGBProfile())).Map(4000, 1)
	if want := image.Rect(0, 0, 300, 200+legendHeight); img.Bounds() != want {
		t.Fatalf("the map is %v, want %v: never larger than the picture", img.Bounds(), want)
	}
	for y := range 200 {
		for x := range 300 {
			if in := (image.Point{X: x, Y: y}).In(patch); grey(img.At(x, y)) == in {
				t.Fatalf("(%d, %d): %v, inside the patch: %v", x, y, img.At(x, y), in)
			}
		}
	}
}

func TestAWorseMissIsLighterAndASmallOneIsNotDrawn(t *testing.T) {
	colours := mapPalette()
	last := linearRGB{}
	for i, miss := range []float32{0, 0.9, 1} {
		if c := colours.of(&converted{asked: [3]float32{50, 40, 40}, seen: miss}, 1).rgba(); !grey(c) {
			t.Errorf("miss %d, of %v, is drawn: %v", i, miss, c)
		}
	}
	for _, miss := range []float32{1.1, 2, 3, 4, 6, 8, 10, 12} {
		c := colours.of(&converted{asked: [3]float32{50, 40, 40}, seen: miss}, 1)
		luminance := func(c linearRGB) float32 { return 0.2225*c[0] + 0.7169*c[1] + 0.0606*c[2] }
		if grey(c.rgba()) || luminance(c) <= luminance(last) {
			t.Errorf("a miss of %v is drawn as %v", miss, c.rgba())
		}
		last = c
	}
	if c := colours.of(&converted{seen: 40}, 1); c != last {
		t.Error("a miss of 40 is not drawn as the scale's end")
	}
}

// TestTheMapIsQuietBelowTheLevelAskedFor: what calls for no caution has no colour, in the
// picture and in the legend.
func TestTheMapIsQuietBelowTheLevelAskedFor(t *testing.T) {
	for _, c := range []struct {
		miss float32
		grey bool
	}{{2, true}, {3, true}, {3.1, false}, {9, false}} {
		if got := mapPalette().of(&converted{asked: [3]float32{50, 40, 40}, seen: c.miss}, 3).rgba(); grey(got) != c.grey {
			t.Errorf("a miss of %v is drawn as %v with a level of 3", c.miss, got)
		}
	}
	if a, b := mapPalette().of(&converted{seen: 9}, 3), mapPalette().of(&converted{seen: 9}, 1); a != b {
		t.Error("the level changes the colour of a miss")
	}
	img := image.NewRGBA(image.Rect(0, 0, 600, legendHeight))
	drawLegend(img, img.Rect, 6)
	if quiet, loud := img.RGBAAt(200, 8), img.RGBAAt(580, 8); !grey(quiet) || grey(loud) || loud != MissColour(11.8) && grey(MissColour(11.8)) {
		t.Errorf("the legend is %v below the level and %v above", quiet, loud)
	}
}

func TestTheMapHasTheSizeAskedFor(t *testing.T) {
	pic := saltMarsh(240, 100)
	m := measure(t, pic, mustProfile(ROMMProfile()), mustProfile(SRGBProfile()))
	for _, c := range []struct{ side, w, h int }{{120, 120, 50}, {240, 240, 100}, {7, 7, 3}, {1, 1, 1}, {0, 1, 1}} {
		if got := m.Map(c.side, 1).Bounds(); got != image.Rect(0, 0, c.w, c.h+legendHeight) {
			t.Errorf("side %d: %v, want %d x %d and the legend", c.side, got, c.w, c.h)
		}
	}
}

func TestTheLegendRunsAlongTheScale(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 600, legendHeight))
	drawLegend(img, img.Rect, 1)
	right := 600 - legendMargin - 1
	if got, want := img.RGBAAt(right, 8), mapScale()[255].linear().rgba(); got != want {
		t.Errorf("the bar ends in %v, want %v", got, want)
	}
	ink, ticks := legendInk.linear().rgba(), 0
	for x := range 600 {
		if img.RGBAAt(x, 4+legendBar+1) == ink {
			ticks++
		}
	}
	if ticks != len(legendTicks) {
		t.Errorf("%d ticks, want %d", ticks, len(legendTicks))
	}
}
