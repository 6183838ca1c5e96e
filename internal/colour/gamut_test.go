package colour

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"reflect"
	"runtime"
	"sizewright/internal/testkit/reference"
	"strings"
	"sync/atomic"
	"testing"
)

// canvas is a picture in memory.
type canvas struct {
	width, height int
	plane         [][]float32
	rows          atomic.Int64 // asked for
}

func newCanvas(channels, width, height int, paint func(x, y int, px []float64)) *canvas {
	c := &canvas{width: width, height: height, plane: make([][]float32, channels)}
	for k := range c.plane {
		c.plane[k] = make([]float32, width*height)
	}
	px := make([]float64, channels)
	for y := range height {
		for x := range width {
			paint(x, y, px)
			for k, v := range px {
				c.plane[k][y*width+x] = unit(float32(v))
			}
		}
	}
	return c
}

func (c *canvas) Channels() int { return len(c.plane) }

func (c *canvas) Row(y int, dst [][]float32) {
	c.rows.Add(1)
	for k := range dst {
		copy(dst[k], c.plane[k][y*c.width:(y+1)*c.width])
	}
}

func measure(t *testing.T, pic *canvas, source, dest *Profile) *Measurement {
	t.Helper()
	return measureBy(t, pic, Chain{From: source, To: dest, Intent: Relative})
}

func measureBy(t *testing.T, pic *canvas, way Chain) *Measurement {
	t.Helper()
	m, err := MeasureGamut(pic, pic.width, pic.height, way)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// saltMarsh has a sky from blue to orange, green and red plants with fine texture, dark
// water and a few vivid spots, at more than 8 bits.
func saltMarsh(width, height int) *canvas {
	r := rand.New(rand.NewPCG(7, 11))
	return newCanvas(3, width, height, func(x, y int, px []float64) {
		u, v := float64(x)/float64(width), float64(y)/float64(height)
		noise := func(a float64) float64 { return a * r.NormFloat64() }
		switch {
		case v < 0.4: // sky
			px[0], px[1], px[2] = 0.35+1.4*v*u, 0.5+0.6*v, 0.85-0.9*v*u
		case v < 0.75: // plants
			red := 0.5 + 0.5*math.Sin(37*u+11*v)
			px[0], px[1], px[2] = 0.25+0.55*red+noise(0.1), 0.55-0.4*red+noise(0.1), 0.15+noise(0.06)
		default: // water
			px[0], px[1], px[2] = 0.06+0.3*(v-0.75)*u, 0.08+0.4*(v-0.75), 0.12+0.5*(v-0.75)*(1-u)
		}
		if x%17 == 3 && y%13 == 5 {
			px[0], px[1], px[2] = float64(x%2), float64(y%2), float64(x%3)/2
		}
		for k := range px {
			px[k] += noise(0.015)
		}
	})
}

// The slow reference: every pixel, unrounded, through Little CMS in both directions.
func TestSharesAgreeWithLittleCMS(t *testing.T) {
	profiles := map[string]named{}
	for _, p := range profilesUnderTest(t) {
		profiles[p.name] = p
	}
	pic := saltMarsh(90, 60)
	for _, c := range []struct{ from, to string }{
		{"AdobeRGB1998", "press"}, {"sRGB", "press"}, {"ProPhotoRGB", "printer v2"},
		{"ProPhotoRGB", "sRGB"}, {"ECI-RGBv2", "printer v4"},
	} {
		from, to := profiles[c.from], profiles[c.to]
		want := littleCMSMisses(t, pic, from, to, false)
		got := measure(t, pic, from.Profile, to.Profile).Gamut()
		if got.Measured != len(want) {
			t.Fatalf("%d pixels measured of %d", got.Measured, len(want))
		}
		for _, s := range []struct{ beyond, share float64 }{{1, got.Beyond1}, {3, got.Beyond3}, {6, got.Beyond6}} {
			n := 0
			for _, d := range want {
				if d > s.beyond {
					n++
				}
			}
			ref := float64(n) / float64(len(want))
			t.Logf("%s to %s: beyond %.0f: %.2f %%, Little CMS %.2f %%", c.from, c.to, s.beyond, 100*s.share, 100*ref)
			if math.Abs(s.share-ref) > 0.01 {
				t.Errorf("%s to %s: %.2f %% miss by more than %.0f, Little CMS says %.2f %%", c.from, c.to, 100*s.share, s.beyond, 100*ref)
			}
		}
	}
}

// Reduced photographs, through the profiles of a press and a printer, as for prints: with
// black point compensation in both directions.
func TestSharesOfPhotographsAgreeWithLittleCMS(t *testing.T) {
	profiles := map[string]named{}
	for _, p := range profilesUnderTest(t) {
		profiles[p.name] = p
	}
	for _, photograph := range []string{"K/EveningGlow", "K/summer_1am", "M/Garden"} {
		pic := reducedPhotograph(t, photograph)
		for _, paper := range []string{"press", "printer v2"} {
			from, to := profiles["sRGB"], profiles[paper]
			misses := littleCMSMisses(t, pic, from, to, true)
			g := measureBy(t, pic, Chain{From: from.Profile, To: to.Profile, Intent: Relative, BlackPoint: true}).Gamut()
			for i, got := range []float64{g.Beyond1, g.Beyond3, g.Beyond6} {
				n := 0
				for _, d := range misses {
					if d > limits[i] {
						n++
					}
				}
				want := float64(n) / float64(len(misses))
				t.Logf("%s to %s: beyond %.0f: %.2f %%, Little CMS %.2f %%", photograph, paper, limits[i], 100*got, 100*want)
				if math.Abs(got-want) > 0.003 {
					t.Errorf("%s to %s: %.2f %% miss by more than %.0f, Little CMS says %.2f %%", photograph, paper, 100*got, limits[i], 100*want)
				}
			}
		}
	}
}

func littleCMSMisses(t *testing.T, pic *canvas, from, to named, blackPoint bool) []float64 {
	t.Helper()
	colours := make([][]float64, pic.width*pic.height)
	for i := range colours {
		for _, p := range pic.plane {
			colours[i] = append(colours[i], float64(p[i]))
		}
	}
	asked := littleCMSLabs(t, from, blackPoint, colours)
	got := littleCMSLabs(t, to, blackPoint, byLittleCMS(t, from, to, Relative, blackPoint, colours))
	out := make([]float64, len(colours))
	for i := range out {
		out[i] = deltaE(asked[i], got[i])
	}
	return out
}

// littleCMSLabs returns the media-relative Lab of device values by Little CMS.
func littleCMSLabs(t *testing.T, p named, blackPoint bool, colours [][]float64) (out []Lab) {
	t.Helper()
	scale := 255.0
	if p.Channels == 4 {
		scale = 100
	}
	var in bytes.Buffer
	for _, c := range colours {
		for _, v := range c[:p.Channels] {
			fmt.Fprintf(&in, "%.6f\n", v*scale)
		}
	}
	args := []string{"-n", "-c0", "-i" + p.file, "-o*Lab", "-t1"}
	if blackPoint {
		args = append(args, "-b")
	}
	cmd := exec.Command(reference.Tool(t, "transicc"), args...)
	cmd.Stdin = &in
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc %s: %v", p.file, err)
	}
	for line := range strings.Lines(string(text)) {
		var v Lab
		if n, _ := fmt.Sscan(line, &v[0], &v[1], &v[2]); n == 3 {
			out = append(out, v)
		}
	}
	if len(out) != len(colours) {
		t.Fatalf("transicc gave %d colours for %d", len(out), len(colours))
	}
	return out
}

func TestAPictureInsideTheGamutMissesNothing(t *testing.T) {
	pic := saltMarsh(120, 80)
	for _, to := range [][]byte{SRGBProfile(), A98Profile(), ROMMProfile()} {
		g := measure(t, pic, mustProfile(SRGBProfile()), mustProfile(to)).Gamut()
		if g.Beyond1 != 0 || g.Beyond3 != 0 || g.Beyond6 != 0 || g.Median != 0 || g.P95 != 0 || len(g.Regions) != 0 {
			t.Errorf("sRGB in %s: %+v", g.Profile, g)
		}
		if g.Max > 0.2 { // curves of 4096 entries, inverted in deep shadows
			t.Errorf("sRGB in %s: the worst colour is off by %.3f, more than rounding does", g.Profile, g.Max)
		}
	}
}

func TestAPictureWhollyOutsideMissesAltogether(t *testing.T) {
	pic := newCanvas(3, 60, 40, func(x, y int, px []float64) { // ROMM greens that no screen can show
		px[0], px[1], px[2] = float64(x)/600, 0.7+float64(y)/200, 0.1
	})
	g := measure(t, pic, mustProfile(ROMMProfile()), mustProfile(SRGBProfile())).Gamut()
	if g.Beyond1 != 1 || g.Beyond3 != 1 || g.Beyond6 != 1 {
		t.Errorf("shares %v, %v, %v; want 1", g.Beyond1, g.Beyond3, g.Beyond6)
	}
	if !(6 < g.Median && g.Median <= g.P95 && g.P95 <= g.Max) {
		t.Errorf("median %v, 95th percentile %v, maximum %v", g.Median, g.P95, g.Max)
	}
}

func TestANeutralPictureMissesNothingInAnyRGBSpace(t *testing.T) {
	pic := newCanvas(3, 256, 16, func(x, y int, px []float64) {
		v := float64(x*16+y) / 4095
		px[0], px[1], px[2] = v, v, v
	})
	grey := newCanvas(1, 256, 16, func(x, y int, px []float64) { px[0] = float64(x*16+y) / 4095 })
	for from, a := range builtins() {
		for to, b := range builtins() {
			if g := measure(t, pic, mustProfile(a), mustProfile(b)).Gamut(); g.Max > 0.3 {
				t.Errorf("%s neutrals in %s: off by as much as %.3f", from, to, g.Max)
			}
		}
	}
	for to, b := range builtins() {
		if g := measure(t, grey, mustProfile(GreyProfile()), mustProfile(b)).Gamut(); g.Max > 0.3 {
			t.Errorf("greys in %s: off by as much as %.3f", to, g.Max)
		}
	}
}

func TestASpaceLosesNothingOfItsOwnPictures(t *testing.T) {
	pic := saltMarsh(120, 80)
	for i, data := range [][]byte{SRGBProfile(), A98Profile(), ROMMProfile()} {
		g := measure(t, pic, mustProfile(data), mustProfile(SRGBProfile())).Gamut()
		if len(g.Spaces) != 3 {
			t.Fatalf("%d working spaces, want 3", len(g.Spaces))
		}
		if s := g.Spaces[i]; s.Max != 0 || s.Beyond1 != 0 {
			t.Errorf("%s loses of its own picture: %+v", s.Space, s)
		}
	}
}

func TestASpaceLosesWhatAskingItsProfileSays(t *testing.T) {
	pic, romm := saltMarsh(120, 80), mustProfile(ROMMProfile())
	for i, data := range [][]byte{SRGBProfile(), A98Profile(), ROMMProfile()} {
		g := measure(t, pic, romm, mustProfile(data)).Gamut()
		s := g.Spaces[i]
		if s.Space != g.Profile {
			t.Fatalf("space %d is %q, want %q", i, s.Space, g.Profile)
		}
		if math.Abs(s.Beyond1-g.Beyond1) > 0.002 || math.Abs(s.Beyond3-g.Beyond3) > 0.002 ||
			math.Abs(s.Beyond6-g.Beyond6) > 0.002 || math.Abs(s.Max-g.Max) > 0.1 {
			t.Errorf("%s: as a working space %+v; as a profile %v, %v, %v, at most %v", s.Space, s, g.Beyond1, g.Beyond3, g.Beyond6, g.Max)
		}
		if i == 0 && s.Beyond1 < 0.05 {
			t.Errorf("the picture is not saturated enough: sRGB loses %.3f of it", s.Beyond1)
		}
	}
}

func TestInkPicturesAreMeasured(t *testing.T) {
	press := reference.PressProfile(t)
	pic := newCanvas(4, 101, 40, func(x, y int, px []float64) {
		px[0], px[1], px[2], px[3] = float64(x)/100, float64(y)/40, 0.2, 0
	})
	g := measure(t, pic, mustProfile(press), mustProfile(SRGBProfile())).Gamut()
	if cyan := g.Spaces[0].Beyond3; g.Beyond3 < 0.05 || math.Abs(g.Beyond3-cyan) > 0.002 {
		t.Errorf("press cyans are beyond sRGB: share %v by the profile, %v by the space", g.Beyond3, cyan)
	}
	if g.Spaces[2].Beyond1 != 0 {
		t.Errorf("ROMM RGB holds all print colours, but loses %+v", g.Spaces[2])
	}
}

func TestTheNumberOfCoresDoesNotShow(t *testing.T) {
	pic, romm, srgb := saltMarsh(200, 130), mustProfile(ROMMProfile()), mustProfile(SRGBProfile())
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := measure(t, pic, romm, srgb)
	for _, cores := range []int{2, 3, 7} {
		runtime.GOMAXPROCS(cores)
		more := measure(t, pic, romm, srgb)
		if !reflect.DeepEqual(one.Gamut(), more.Gamut()) || !reflect.DeepEqual(one.Map(100, 1), more.Map(100, 1)) {
			t.Errorf("%d cores give another result than one", cores)
		}
	}
}

func TestDeepPicturesAreMeasuredWellInBytes(t *testing.T) {
	pic := saltMarsh(300, 200)
	for name, data := range builtins() {
		source, dest := mustProfile(data), mustProfile(printer{leak: 0.06, gamma: 1.9}.v2())
		g := measure(t, pic, source, dest).Gamut()
		trip, err := newRoundTrip(source, dest, false, Relative)
		if err == nil {
			trip, err = trip.clone()
		}
		if err != nil {
			t.Fatal(err)
		}
		var exact tally
		for i := range pic.plane[0] {
			d := []float64{float64(pic.plane[0][i]), float64(pic.plane[1][i]), float64(pic.plane[2][i]), 0}
			asked := trip.read(d)
			exact.count(deltaE(asked.Lab(), trip.back(asked).Lab()), 1)
		}
		for k, got := range []float64{g.Beyond1, g.Beyond3, g.Beyond6} {
			if want := float64(exact.beyond[k]) / float64(g.Measured); math.Abs(got-want) > 0.001 {
				t.Errorf("%s: share %d is %.5f, unrounded %.5f", name, k, got, want)
			}
		}
	}
}

func TestALargePictureIsSampledEvenly(t *testing.T) {
	for _, c := range []struct{ width, height int }{{100, 70}, {1000, 1000}, {6000, 4000}, {30000, 40}, {1, 5_000_000}, {5_000_000, 3}, {9001, 1}} {
		cols, rows := lattice(c.width, c.height, gamutSamples)
		if n, all := cols*rows, c.width*c.height; n > gamutSamples || (all <= gamutSamples && n != all) || (all > gamutSamples && n < gamutSamples/100*93) {
			t.Errorf("%d x %d: %d x %d points", c.width, c.height, cols, rows)
		}
		for _, side := range [][2]int{{cols, c.width}, {rows, c.height}} {
			first, last := point(0, side[0], side[1]), side[1]-1-point(side[0]-1, side[0], side[1])
			if first < 0 || last < 0 || first-last > 1 || last-first > 1 {
				t.Errorf("%d points over %d pixels start at %d and end %d before the end", side[0], side[1], first, last)
			}
		}
	}
}

func TestOnlyTheRowsOfTheLatticeAreRead(t *testing.T) {
	pic := newCanvas(1, 2000, 2000, func(x, y int, px []float64) { px[0] = float64(y) / 2000 })
	m := measure(t, pic, mustProfile(GreyProfile()), mustProfile(SRGBProfile()))
	if n := pic.rows.Load(); n != 1000 || len(m.sample) != 1_000_000 {
		t.Errorf("%d rows read for %d samples, want 1000 and a million", n, len(m.sample))
	}
}

func TestQuantilesCountPixelsNotColours(t *testing.T) {
	h := histogram{}
	for _, v := range []struct {
		miss   float32
		pixels uint64
	}{{1.5, 10}, {2, 80}, {4, 9}, {9, 1}} {
		h = append(h, uint64(math.Float32bits(v.miss))<<32|v.pixels)
	}
	for _, c := range []struct{ q, want float64 }{{0.05, 1.5}, {0.5, 2}, {0.9, 2}, {0.95, 4}, {1, 9}} {
		if got := h.quantile(c.q, 100); got != c.want {
			t.Errorf("quantile %v is %v, want %v", c.q, got, c.want)
		}
	}
	if got := (histogram{}).quantile(0.5, 0); got != 0 {
		t.Errorf("no misses have a median of %v", got)
	}
}

func TestAPictureMustFitItsProfile(t *testing.T) {
	pic := newCanvas(3, 4, 4, func(x, y int, px []float64) {})
	if _, err := MeasureGamut(pic, 4, 4, Chain{From: mustProfile(GreyProfile()), To: mustProfile(SRGBProfile())}); err == nil {
		t.Error("an RGB picture was measured with a grey profile")
	}
	if _, err := MeasureGamut(pic, 0, 4, Chain{From: mustProfile(SRGBProfile()), To: mustProfile(SRGBProfile())}); err == nil {
		t.Error("a picture without pixels was measured")
	}
}

func TestAPanicInAWorkerIsAnError(t *testing.T) {
	err := parallel(5, func(from, to int) error { panic("a hostile table") })
	if err == nil {
		t.Error("no error")
	}
}

// A million 16-bit samples, nearly all of different colours.
func BenchmarkMeasureGamut(b *testing.B) {
	pic := saltMarsh(1200, 833)
	for _, to := range []struct {
		name string
		data []byte
	}{{"matrix", SRGBProfile()}, {"tables", printer{leak: 0.06, gamma: 1.9}.v2()}} {
		b.Run(to.name, func(b *testing.B) {
			dest := mustProfile(to.data)
			for b.Loop() {
				if _, err := MeasureGamut(pic, pic.width, pic.height, Chain{From: mustProfile(A98Profile()), To: dest, BlackPoint: true}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A profile without a table for the perceptual intent prints as by the relative. With one,
// the same colours are measured by it: it keeps what the paper holds less exactly.
func TestThePerceptualIntentIsMeasuredByItsOwnTable(t *testing.T) {
	pic := saltMarsh(60, 40)
	if m, err := MeasurePerceptual(pic, pic.width, pic.height, Chain{From: BuiltInROMM(), To: BuiltInSRGB()}); m != nil || err != nil {
		t.Errorf("a matrix profile: %v, %v", m, err)
	}
	press := mustProfile(reference.PressProfile(t))
	way := Chain{From: BuiltInSRGB(), To: press, BlackPoint: true}
	m, err := MeasurePerceptual(pic, pic.width, pic.height, way)
	if err != nil || m == nil {
		t.Fatal(m, err)
	}
	relative, perceptual := measureBy(t, pic, way).Gamut(), m.Gamut()
	if perceptual.Shares == relative.Shares || perceptual.Measured != relative.Measured || !perceptual.Compensated {
		t.Errorf("relative %+v, perceptual %+v", relative.Shares, perceptual.Shares)
	}
}
