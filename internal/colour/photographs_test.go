package colour

import (
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"sizewright/internal/testkit/reference"
)

// The photographs are from the Debian packages plasma-workspace-wallpapers (K),
// lomiri-wallpapers-16.04 (L) and mate-backgrounds (M). We sorted them by eye into
// ordinary and vivid.
var (
	ordinaryPhotographs = []string{
		"K/BytheWater", "K/ColdRipple", "K/ColorfulCups", "K/DarkestHour", "K/EveningGlow", "K/Grey", "K/Kite", "K/OneStandsOut", "K/Path", "K/summer_1am",
		"L/aitzgorri_by_Aitzol_Berasategi", "L/free_by_Peter_Nerlich", "L/friends_by_Aitzol_Berasategi", "L/greentock_by_Peter_Nerlich",
		"L/life_by_Aitzol_Berasategi", "L/picosdeeuropa_by_Aitzol_Berasategi",
		"M/Aqua", "M/Dune", "M/GreenMeadow", "M/LadyBird", "M/Storm", "M/Wood",
	}
	vividPhotographs = []string{"L/Picture_0B_by_freespace", "M/FreshFlower", "M/Garden"}
)

// photographPath returns the path of an installed photograph. In CI a missing file fails
// the test.
func photographPath(t testing.TB, name string) string {
	t.Helper()
	path := map[string]string{
		"K": "/usr/share/wallpapers/" + name[2:] + "/contents/images/2560x1600.jpg",
		"L": "/usr/share/backgrounds/" + name[2:] + ".jpg",
		"M": "/usr/share/backgrounds/mate/nature/" + name[2:] + ".jpg",
	}[name[:1]]
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%v; scripts/test.sh installs it", err)
		}
		t.Skipf("%s is not installed; scripts/test.sh installs it", filepath.Base(path))
	}
	return path
}

// reducedSide is the longer side of a reduced photograph, px.
const reducedSide = 96

var reduced sync.Map // by path

// reducedPhotograph returns a photograph in which each pixel is the mean of a square. All
// photographs are sRGB.
func reducedPhotograph(t testing.TB, name string) *canvas {
	t.Helper()
	path := photographPath(t, name)
	make := sync.OnceValues(func() (*canvas, error) { return reduce(path) })
	load, _ := reduced.LoadOrStore(path, make)
	pic, err := load.(func() (*canvas, error))()
	if err != nil {
		t.Fatal(err)
	}
	return pic
}

func reduce(path string) (*canvas, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	img, err := jpeg.Decode(f)
	if err != nil {
		return nil, err
	}
	b := img.Bounds()
	step := max(b.Dx(), b.Dy()) / reducedSide
	return newCanvas(3, b.Dx()/step, b.Dy()/step, func(x, y int, px []float64) { meanOf(img, x*step, y*step, step, px) }), nil
}

// meanOf averages 16 pixels of a square.
func meanOf(img image.Image, x, y, side int, px []float64) {
	clear(px)
	for i := range 16 {
		r, g, b, _ := img.At(x+i%4*side/4, y+i/4*side/4).RGBA()
		for c, v := range [3]uint32{r, g, b} {
			px[c] += float64(v) / 65535 / 16
		}
	}
	for c, v := range px {
		px[c] = math.Round(v*255) / 255
	}
}

// papers returns the profile of a press and a synthetic one of a printer.
func papers(t *testing.T) map[string]*Profile {
	t.Helper()
	return map[string]*Profile{"press": mustProfile(reference.PressProfile(t)), "printer": mustProfile(printer{leak: 0.06, gamma: 1.9}.v2())}
}

// worthACaution is the default of gamut_caution_share, for a default
// gamut_caution_delta_e of 6.
const worthACaution = 0.03

// A caution that every picture has is ignored.
func TestOrdinaryPhotographsFitThePaper(t *testing.T) {
	srgb := mustProfile(SRGBProfile())
	for name, paper := range papers(t) {
		seen := func(photograph string) float64 {
			m := measureBy(t, reducedPhotograph(t, photograph), Chain{From: srgb, To: paper, Intent: Relative, BlackPoint: true})
			g := m.Gamut()
			t.Logf("%s, %s: pixels beyond 3 %4.1f %%, beyond 6 %4.1f %%; seen beyond 6 %4.1f %%", name, photograph, 100*g.Beyond3, 100*g.Beyond6, 100*g.Seen.Beyond6)
			return g.Seen.Beyond6
		}
		cautions := 0
		for _, p := range ordinaryPhotographs {
			if seen(p) > worthACaution {
				cautions++
			}
		}
		if 4*cautions >= len(ordinaryPhotographs) {
			t.Errorf("%s: a caution for %d of %d ordinary photographs, want fewer than a quarter", name, cautions, len(ordinaryPhotographs))
		}
		for _, p := range vividPhotographs {
			if seen(p) <= worthACaution {
				t.Errorf("%s: no caution for %s", name, p)
			}
		}
	}
}

// neon draws glowing tubes on a dark wall.
func neon(width, height int) *canvas {
	tubes := [][3]float64{{1, 0, 0.1}, {1, 0.45, 0}, {0.1, 0, 1}, {1, 0, 1}}
	return newCanvas(3, width, height, func(x, y int, px []float64) {
		px[0], px[1], px[2] = 0.05, 0.05, 0.07
		for i, tube := range tubes {
			d := math.Abs(float64(y)/float64(height) - 0.2*float64(i+1) - 0.05*math.Sin(9*float64(x)/float64(width)))
			for c, v := range tube {
				px[c] += v * math.Exp(-d*d*3000)
			}
		}
	})
}

func TestSyntheticSaturatedPicturesHaveACaution(t *testing.T) {
	pictures := map[string]*canvas{
		"neon": neon(192, 128),
		"a rainbow": newCanvas(3, 192, 128, func(x, y int, px []float64) {
			for c := range px {
				px[c] = 0.5 + 0.5*math.Cos(2*math.Pi*(float64(x)/192-float64(c)/3))
			}
		}),
	}
	// The printer can nearly reproduce a screen's green, cyan and yellow.
	for i, primary := range []string{"red", "blue", "magenta"} {
		colour := [][3]float64{{1, 0, 0}, {0, 0, 1}, {1, 0, 1}}[i]
		pictures[primary+" on grey"] = newCanvas(3, 192, 128, func(x, y int, px []float64) {
			px[0], px[1], px[2] = 0.5, 0.5, 0.5
			if x < 40 && y < 60 { // a tenth
				copy(px, colour[:])
			}
		})
	}
	for name, paper := range papers(t) {
		for what, pic := range pictures {
			g := measureBy(t, pic, Chain{From: mustProfile(SRGBProfile()), To: paper, Intent: Relative, BlackPoint: true}).Gamut()
			if g.Seen.Beyond6 <= worthACaution {
				t.Errorf("%s: no caution for %s: pixels %v, seen %v", name, what, g.Beyond6, *g.Seen)
			}
		}
	}
}

// The black of paper is never as deep as a screen's. People do not notice it, but without
// compensation the pixels miss.
func TestBlackDepthIsNoMissThatIsSeen(t *testing.T) {
	pic := newCanvas(3, 192, 128, func(x, y int, px []float64) {
		v := 0.12 * float64(x) / 192
		px[0], px[1], px[2] = v, v*0.9, v*0.85
	})
	for name, paper := range papers(t) {
		for _, compensated := range []bool{false, true} {
			g := measureBy(t, pic, Chain{From: mustProfile(SRGBProfile()), To: paper, Intent: Relative, BlackPoint: compensated}).Gamut()
			if g.Seen.Beyond3 > 0 {
				t.Errorf("%s, compensation %v: %.1f %% of a dark picture is seen to miss by more than 3: %v", name, compensated, 100*g.Seen.Beyond3, g.Regions)
			}
			if !compensated && (g.Beyond3 < 0.1 || g.Beyond3-g.Blacks.Beyond3 > 0.02) {
				t.Errorf("%s, uncompensated: %.1f %% beyond 3, of them %.1f %% blacks", name, 100*g.Beyond3, 100*g.Blacks.Beyond3)
			}
			if compensated && name == "printer" && g.Beyond3 > 0.01 {
				t.Errorf("%s: with compensation %.1f %% of a dark picture still miss by more than 3", name, 100*g.Beyond3)
			}
		}
	}
}

// Single pixels are not seen, however large their miss.
func TestOddPixelsAreNotSeen(t *testing.T) {
	pic := newCanvas(3, 960, 640, func(x, y int, px []float64) {
		px[0], px[1], px[2] = 0.5, 0.5, 0.5
		if x%7 == 0 && y%7 == 0 { // one in fifty
			px[0], px[1], px[2] = 0, 1, 0
		}
	})
	g := measureBy(t, pic, Chain{From: mustProfile(SRGBProfile()), To: papers(t)["press"], Intent: Relative, BlackPoint: true}).Gamut()
	if g.Beyond6 < 0.02 || g.Seen.Beyond3 > 0 {
		t.Errorf("pixels beyond 6: %v, seen beyond 3: %v; want a fiftieth and nothing", g.Beyond6, g.Seen.Beyond3)
	}
}

// The changes of a re-rendering intent are not misses: measured is what a relative
// colorimetric proof with compensation clips.
func TestThePerceptualIntentIsMeasuredColorimetrically(t *testing.T) {
	pic, srgb, press := saltMarsh(120, 80), mustProfile(SRGBProfile()), papers(t)["press"]
	of := func(i Intent, black bool) Gamut {
		return measureBy(t, pic, Chain{From: srgb, To: press, Intent: i, BlackPoint: black}).Gamut()
	}
	want, plain := of(Relative, true), of(Relative, false)
	for _, c := range []struct {
		intent Intent
		black  bool
		same   Gamut
	}{{Perceptual, true, want}, {Perceptual, false, want}, {Saturation, false, want}, {Absolute, true, plain}} {
		if got := of(c.intent, c.black); got.Beyond3 != c.same.Beyond3 || got.Compensated != c.same.Compensated {
			t.Errorf("%s, compensation %v: beyond 3 %v, want %v", c.intent, c.black, got.Beyond3, c.same.Beyond3)
		}
	}
	if want.Beyond3 == plain.Beyond3 {
		t.Error("compensation makes no difference here")
	}
}

// Limits for the difference from Little CMS: of every pixel of a photograph, of 99.9 % of
// them, and of the mean.
const (
	photographWorst   = 1
	photographPercent = 0.6
	photographMean    = 0.03
)

// Whole pictures contain a lattice's worst errors, which random colours may not.
func TestConvertedPhotographsAgreeWithLittleCMS(t *testing.T) {
	profiles := map[string]named{}
	for _, p := range profilesUnderTest(t) {
		profiles[p.name] = p
	}
	var colours [][]float64
	seen := map[[3]float64]bool{}
	for _, photograph := range []string{"K/BytheWater", "K/ColorfulCups", "K/EveningGlow", "K/Kite", "K/Path", "L/picosdeeuropa_by_Aitzol_Berasategi", "M/Garden", "M/LadyBird"} {
		pic := reducedPhotograph(t, photograph)
		for i := range pic.plane[0] {
			c := [3]float64{float64(pic.plane[0][i]), float64(pic.plane[1][i]), float64(pic.plane[2][i])}
			if !seen[c] {
				seen[c] = true
				colours = append(colours, c[:])
			}
		}
	}
	if len(colours) < 20000 {
		t.Fatalf("only %d colours in all photographs", len(colours))
	}
	for _, c := range []struct{ from, to string }{{"sRGB", "press"}, {"sRGB", "printer v2"}, {"sRGB", "AdobeRGB1998"}, {"AdobeRGB1998", "printer v4"}, {"ProPhotoRGB", "press"}} {
		from, to := profiles[c.from], profiles[c.to]
		want := byLittleCMS(t, from, to, Relative, true, colours)
		off := eachDifference(t, to, baked(t, Chain{from.Profile, to.Profile, Relative, true}, colours), want)
		slices.Sort(off)
		mean := 0.0
		for _, d := range off {
			mean += d / float64(len(off))
		}
		most, worst := off[len(off)*999/1000], off[len(off)-1]
		t.Logf("%s to %s: mean %.4f, 99.9 %% within %.3f, worst %.3f", c.from, c.to, mean, most, worst)
		if mean > photographMean || most > photographPercent || worst > photographWorst || math.IsNaN(mean) {
			t.Errorf("%s to %s: mean %.4f, 99.9 %% within %.3f, worst %.3f", c.from, c.to, mean, most, worst)
		}
	}
}
