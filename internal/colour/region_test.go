package colour

import (
	"image"
	"math"
	"strings"
	"testing"
)

// planted returns a grey ROMM picture with patches of colours outside sRGB.
func planted(width, height int, patches map[image.Rectangle][3]float64) *canvas {
	return newCanvas(3, width, height, func(x, y int, px []float64) {
		px[0], px[1], px[2] = 0.5, 0.5, 0.5
		for r, c := range patches {
			if (image.Point{X: x, Y: y}).In(r) {
				copy(px, c[:])
			}
		}
	})
}

func plantedRegions(t *testing.T, pic *canvas) []Region {
	t.Helper()
	return measure(t, pic, mustProfile(ROMMProfile()), mustProfile(SRGBProfile())).Gamut().Regions
}

func TestAPlantedPatchIsFoundAndNamed(t *testing.T) {
	patch := image.Rect(130, 70, 190, 95)
	for _, c := range []struct {
		hue  string
		romm [3]float64
	}{
		{"red", [3]float64{0.85, 0.10, 0.05}},
		{"green", [3]float64{0.15, 0.70, 0.15}},
		{"blue-green", [3]float64{0.10, 0.70, 0.65}},
		{"yellow", [3]float64{0.85, 0.85, 0.05}},
		{"purple", [3]float64{0.60, 0.10, 0.80}},
	} {
		got := plantedRegions(t, planted(300, 200, map[image.Rectangle][3]float64{patch: c.romm}))
		if len(got) != 1 {
			t.Errorf("%s: %d regions, want 1: %+v", c.hue, len(got), got)
			continue
		}
		r := got[0]
		if box := image.Rect(r.X, r.Y, r.X+r.Width, r.Y+r.Height); box != patch {
			t.Errorf("%s: found at %v, planted at %v", c.hue, box, patch)
		}
		if words := strings.Fields(r.Hue); words[len(words)-1] != c.hue {
			t.Errorf("%s: called %q, %v", c.hue, r.Hue, r.Asked)
		}
		if want := 60. * 25 / (300 * 200); math.Abs(r.Share-want) > 0.01*want { // corners of tiles may be left out
			t.Errorf("%s: share %v, want %v", c.hue, r.Share, want)
		}
		if math.Abs(r.DeltaE-deltaE(r.Asked, r.Got)) > 0.01 {
			t.Errorf("%s: one colour misses by %.2f, but asked and got are %.2f apart", c.hue, r.DeltaE, deltaE(r.Asked, r.Got))
		}
		if !strings.HasPrefix(r.Text, r.Hue+", 2.5 % of the picture, misses by ") {
			t.Errorf("%s: %q", c.hue, r.Text)
		}
	}
}

// In a large picture a region's position is as exact as the lattice.
func TestARegionIsInPixelsOfTheSource(t *testing.T) {
	patch := image.Rect(2000, 300, 2600, 900)
	r := plantedRegions(t, planted(3000, 1500, map[image.Rectangle][3]float64{patch: {0.85, 0.1, 0.05}}))
	if len(r) != 1 {
		t.Fatalf("%d regions, want 1", len(r))
	}
	const step = 3 // sqrt(4.5 megapixels / 1), rounded up
	for _, v := range [][2]int{{r[0].X, 2000}, {r[0].Y, 300}, {r[0].X + r[0].Width, 2600}, {r[0].Y + r[0].Height, 900}} {
		if d := v[0] - v[1]; d < -step || d > step {
			t.Errorf("found %+v, planted %v", r[0], patch)
		}
	}
}

func TestUnlikeHuesSideBySideAreTwoRegionsWorstFirst(t *testing.T) {
	r := plantedRegions(t, planted(300, 200, map[image.Rectangle][3]float64{
		image.Rect(50, 50, 100, 100):  {0.85, 0.10, 0.05},
		image.Rect(100, 50, 220, 120): {0.15, 0.70, 0.15},
	}))
	if len(r) != 2 || !strings.HasSuffix(r[0].Hue, "green") || !strings.HasSuffix(r[1].Hue, "red") {
		t.Fatalf("want green, then red: %+v", r)
	}
	if r[0].X != 100 || r[1].X != 50 || r[1].Width != 50 {
		t.Errorf("want them at 100 and 50: %+v", r)
	}
}

func TestRedStalksInGreenGrassAreNotBrown(t *testing.T) {
	pic := newCanvas(3, 240, 160, func(x, y int, px []float64) {
		px[0], px[1], px[2] = 0.15, 0.70, 0.15
		if x%4 == 0 {
			px[0], px[1], px[2] = 0.85, 0.10, 0.05
		}
	})
	r := plantedRegions(t, pic)
	if len(r) != 2 || !strings.HasSuffix(r[0].Hue, "green") || !strings.HasSuffix(r[1].Hue, "red") {
		t.Fatalf("want green grass and red stalks: %+v", r)
	}
	if math.Abs(r[1].Share-1./4) > 1e-9 {
		t.Errorf("the stalks are %v of the picture, want a quarter", r[1].Share)
	}
}

func TestScatteredPixelsAreStillAPlace(t *testing.T) {
	pic := newCanvas(3, 480, 320, func(x, y int, px []float64) {
		px[0], px[1], px[2] = 0.5, 0.5, 0.5
		if x > 240 && x%7 == 0 && y%7 == 0 { // 2 % of the right half
			px[0], px[1], px[2] = 0.85, 0.10, 0.05
		}
	})
	r := plantedRegions(t, pic)
	if len(r) != 1 || r[0].X < 240 || r[0].Width < 200 || r[0].Height < 300 {
		t.Errorf("want the right half as one region: %+v", r)
	}
}

func TestAtMostFiveRegionsAreNamed(t *testing.T) {
	patches := map[image.Rectangle][3]float64{}
	for i := range 8 {
		patches[image.Rect(10+35*i, 20, 20+35*i, 30+5*i)] = [3]float64{0.85, 0.10, 0.05}
	}
	r := plantedRegions(t, planted(300, 200, patches))
	if len(r) != 5 {
		t.Fatalf("%d regions, want 5", len(r))
	}
	for i := range r[1:] {
		if r[i].Share*r[i].DeltaE < r[i+1].Share*r[i+1].DeltaE {
			t.Errorf("region %d is worse than %d", i+1, i)
		}
	}
}

func TestWhatIsLostIsTheLargestTerm(t *testing.T) {
	for _, c := range []struct {
		asked, got  Lab
		loses, text string
	}{
		{Lab{45, 80, 45}, Lab{46, 68, 38}, "chroma", "it loses chroma (92 to 78)"},
		{Lab{8, 0, 0}, Lab{16, 0, 0}, "lightness", "it comes out lighter (lightness 8 to 16)"},
		{Lab{60, 10, 10}, Lab{52, 10, 10}, "lightness", "it comes out darker (lightness 60 to 52)"},
		{Lab{40, 60, -60}, Lab{40, 73.5, -42.4}, "hue", "its hue turns (315 to 330 degrees)"},
	} {
		if loses, text := loss(c.asked, c.got); loses != c.loses || text != c.text {
			t.Errorf("%v to %v: %s, %q; want %s, %q", c.asked, c.got, loses, text, c.loses, c.text)
		}
	}
}

func TestPlainHueNames(t *testing.T) {
	srgb := func(r, g, b float64) Lab {
		lin := [3]float64{decodeSRGB(r), decodeSRGB(g), decodeSRGB(b)}
		return XYZ(mulVec(SRGB.Matrix(), lin)).Lab()
	}
	for _, c := range []struct {
		what string
		lab  Lab
		want string
	}{
		{"screen red", srgb(1, 0, 0), "vivid red"},
		{"screen green", srgb(0, 1, 0), "vivid green"},
		{"screen blue", srgb(0, 0, 1), "deep blue"},
		{"screen yellow", srgb(1, 1, 0), "vivid yellow"},
		{"screen cyan", srgb(0, 1, 1), "light blue-green"},
		{"screen magenta", srgb(1, 0, 1), "vivid purple"},
		{"orange peel", srgb(1, 0.6, 0), "vivid orange"},
		{"blood", srgb(0.6, 0.05, 0.1), "deep red"},
		{"rose", srgb(1, 0.75, 0.8), "pale pink"},
		{"lagoon", srgb(0.3, 0.6, 0.7), "greenish blue"},
		{"sky", srgb(0.6, 0.8, 0.95), "pale blue"},
		{"wet mud", srgb(0.25, 0.18, 0.12), "dark brown"},
		{"leather", srgb(0.5, 0.32, 0.18), "brown"},
		{"olive", srgb(0.4, 0.4, 0.1), "olive"},
		{"conifer", srgb(0.1, 0.3, 0.12), "dark green"},
		{"eau de nil", srgb(0.75, 0.9, 0.88), "pale blue-green"},
		{"ink", Lab{5, 1, 1}, "black"},
		{"slate", Lab{30, 1, -3}, "dark grey"},
		{"card", Lab{50, 0, 0}, "grey"},
		{"ash", Lab{80, 2, 2}, "light grey"},
		{"paper", Lab{97, 0, -2}, "white"},
	} {
		if got := hueName(c.lab); got != c.want {
			t.Errorf("%s (L %.0f C %.0f h %.0f) is called %q, want %q", c.what, c.lab[0], c.lab.Chroma(), c.lab.Hue(), got, c.want)
		}
	}
}

func TestEveryHueHasAName(t *testing.T) {
	for h := range 361 {
		a := float64(h) * math.Pi / 180
		if got := hueName(Lab{55, 50 * math.Cos(a), 50 * math.Sin(a)}); got == "" || strings.HasSuffix(got, " ") {
			t.Errorf("%d degrees is called %q", h, got)
		}
	}
}
