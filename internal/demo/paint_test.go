package demo

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"sizewright/internal/colour"
	"sizewright/internal/testkit/reference"
)

// linearSpace stores light as it is, so that tests can add it up.
var linearSpace = newSpace(colour.RGBSpace{Name: "linear", Decode: func(v float64) float64 { return v }})

func TestNoiseIsEvenSmoothAndMeetsItself(t *testing.T) {
	var sum float64
	const n = 20000
	for i := range n {
		x, y := float32(i)*0.137, float32(i%311)*0.291
		v := value(x, y)
		sum += float64(v)
		if v < -1 || v > 1 {
			t.Fatalf("value(%v, %v) is %v", x, y, v)
		}
		// The steepest quintic between -1 and 1 rises by 2 * 15/8 a unit, in each direction.
		if step := abs(value(x+0.001, y) - v); step > 0.001*3.75*1.01+1e-4 {
			t.Fatalf("at (%v, %v) it jumps by %v", x, y, step)
		}
		if d := abs(value(x+latticeSide, y-latticeSide) - v); d > 1e-3 {
			t.Fatalf("a period on from (%v, %v) it differs by %v", x, y, d)
		}
	}
	if mean := sum / n; math.Abs(mean) > 0.03 {
		t.Errorf("its mean is %v", mean)
	}
}

func TestFadeOutIsTheExponential(t *testing.T) {
	for x := float32(0); x < 20; x += 0.0137 {
		if got, want := float64(fadeOut(x)), math.Exp(-float64(x)); math.Abs(got-want) > 1e-5 {
			t.Fatalf("fadeOut(%v) is %v, not %v", x, got, want)
		}
	}
}

func TestEncodeUndoesDecode(t *testing.T) {
	for _, s := range []*space{srgbSpace, a98Space} {
		for stored := 0.0; stored <= 1; stored += 1.0 / 255 {
			if got := s.encode(s.Decode(stored)); math.Abs(got-stored) > 1e-6 {
				t.Errorf("%s: %v comes back as %v", s.Name, stored, got)
			}
		}
	}
}

func TestOctavesStopAtWhatAPixelCanShow(t *testing.T) {
	for _, c := range []struct {
		base, pixel float32
		want        int
	}{
		{1, 1. / 2, 1},    // 2 pixels a wave: the finest there is
		{1, 1. / 4, 2},    // 4 pixels, so one octave more
		{1, 1. / 1024, 9}, // but no more than asked for
		{8, 1, 1},         // and never none
	} {
		if got := octavesFor(c.base, c.pixel, 9); got != c.want {
			t.Errorf("octavesFor(%v, %v) is %d, not %d", c.base, c.pixel, got, c.want)
		}
	}
}

// Anti-aliasing as area: a hair of any thickness, at any angle and between any pixels, darkens the picture by
// just its area.
func TestAHairCoversItsAreaWhereverItLies(t *testing.T) {
	f := frame{120, 100}
	for _, thick := range []float32{0.05, 0.3, 1, 4} { // half-widths, pixels
		for _, shift := range []float32{0, 0.25, 0.5} {
			for _, rise := range []float32{0, 0.17, 0.62} {
				px := f.pixel()
				hair := stroke{
					root: pt{(20 + shift) * px, (30.3 + shift) * px}, tip: pt{(100 + shift) * px, (30.3 + shift + 80*rise) * px},
					thick: thick * px, thin: thick * px, flat: true, opacity: 1, from: rgb{1, 1, 1}, to: rgb{1, 1, 1},
				}
				hair.bend = hair.along(0.5)
				img := painted(t, f, newStrokes(f, []stroke{hair}))
				var sum float64
				for i := 0; i < len(img.Pix); i += 8 {
					sum += float64(be16(img.Pix[i:])) / 65535
				}
				length := 80 * math.Hypot(1, float64(rise))
				// The film's shoulder bends covers above 0.6, so only thin hairs add up exactly.
				want := 2 * float64(thick) * length
				if thick <= 0.3 && math.Abs(sum/want-1) > 0.02 {
					t.Errorf("half-width %v, shift %v, rise %v: covers %.2f pixels, not %.2f", thick, shift, rise, sum, want)
				}
				if thick > 0.3 && (sum > want || sum < 0.85*want) {
					t.Errorf("half-width %v, shift %v, rise %v: covers %.2f pixels of %.2f", thick, shift, rise, sum, want)
				}
			}
		}
	}
}

func TestTilesMeetWithoutASeam(t *testing.T) {
	f := frame{2*tileSide + 40, tileSide + 30}
	px := f.pixel()
	band := stroke{
		root: pt{-0.2, 0.5}, bend: pt{1, 0.5}, tip: pt{f.aspect() + 0.2, 0.5},
		thick: 20 * px, thin: 20 * px, opacity: 1, from: rgb{0.5, 0.4, 0.3}, to: rgb{0.5, 0.4, 0.3},
	}
	img := painted(t, f, flat(0.1), newStrokes(f, []stroke{band}))
	for y := range f.h {
		first := img.RGBA64At(10, y)
		for x := 10; x < f.w-10; x++ {
			if got := img.RGBA64At(x, y); got != first {
				t.Fatalf("row %d changes from %v to %v at column %d", y, first, got, x)
			}
		}
	}
}

func TestAnEvenFieldStaysEven(t *testing.T) {
	f := frame{300, 270}
	img := painted(t, f, flat(0.25))
	want := img.RGBA64At(0, 0)
	if math.Abs(float64(want.R)-0.25*65535) > 8 {
		t.Errorf("light of 0.25 is stored as %d", want.R)
	}
	for y := range f.h {
		for x := range f.w {
			if got := img.RGBA64At(x, y); got != want {
				t.Fatalf("(%d, %d) is %v, not %v", x, y, got, want)
			}
		}
	}
}

// Shot noise: variance in proportion to light, as a count of photons has.
func TestSensorNoiseGrowsAsTheRootOfLight(t *testing.T) {
	l := look{noise: 0.02, salt: 3}
	spread := func(light float32) float64 {
		var sum, square float64
		const n = 250
		for y := range n {
			for x := range n {
				g := float64(l.sense(rgb{light, light, light}, x, y).g)
				sum += g
				square += g * g
			}
		}
		mean := sum / (n * n)
		if math.Abs(mean-float64(light)) > 0.0005 {
			t.Errorf("noise moves light of %v to %v", light, mean)
		}
		return math.Sqrt(square/(n*n) - mean*mean)
	}
	if ratio := spread(0.64) / spread(0.16); math.Abs(ratio-2) > 0.05 {
		t.Errorf("four times the light has %.2f times the noise, not twice", ratio)
	}
}

func TestTheCameraPutsTheHorizonWhereThePlaneEnds(t *testing.T) {
	c := camera{horizon: 0.4, centre: 0.75, focal: 1.17, height: 2.3}
	for _, g := range [][2]float32{{0, 4}, {-3, 12}, {40, 300}} {
		p := c.screen(g[0], 0, g[1])
		x, z := c.ground(p.u, p.v)
		if abs(x-g[0]) > 0.01*g[1] || abs(z-g[1]) > 0.01*g[1] {
			t.Errorf("(%v, %v) is seen at %v, which is (%v, %v)", g[0], g[1], p, x, z)
		}
	}
	if p := c.screen(0, 2.3, 77); abs(p.v-c.horizon) > 1e-6 {
		t.Errorf("what is as high as the lens stands at %v, not on the horizon", p.v)
	}
}

func TestTheTurnedPlateStoresOrientation6(t *testing.T) {
	// EXIF 2.32, 4.6.4.A, orientation 6: row 0 is the right side as shown, column 0 the top.
	const shownWidth, shownHeight = 4, 6 // stored as 6x4
	for _, c := range []struct{ x, y, storedX, storedY int }{
		{shownWidth - 1, 0, 0, 0},                             // shown top right: stored first
		{0, 0, 0, shownWidth - 1},                             // shown top left: stored bottom left
		{0, shownHeight - 1, shownHeight - 1, shownWidth - 1}, // shown bottom left: stored last
	} {
		t.Run(fmt.Sprint(c.x, c.y), func(t *testing.T) {
			var got spot
			turnedPlate{&got, shownWidth}.set(c.x, c.y, rgb{})
			if got != (spot{c.storedX, c.storedY}) {
				t.Errorf("stored at %v, not (%d, %d)", got, c.storedX, c.storedY)
			}
		})
	}
}

// spot is a plate that remembers where it was last touched.
type spot struct{ x, y int }

func (s *spot) set(x, y int, _ rgb) { *s = spot{x, y} }

func TestWaterMirrorsAStalkAsFarBelowItsFootAsItRisesAbove(t *testing.T) {
	stalk := stroke{root: pt{0.5, 0.6}, bend: pt{0.5, 0.5}, tip: pt{0.52, 0.35}, foot: 0.65, flat: true}
	image := mirrored(rand.New(rand.NewPCG(1, 1)), []stroke{stalk}, 0.5)[0]
	for _, c := range [][2]pt{{stalk.root, image.root}, {stalk.bend, image.bend}, {stalk.tip, image.tip}} {
		if above, below := stalk.foot-c[0].v, c[1].v-stalk.foot; abs(above-below) > 1e-6 || c[0].u != c[1].u {
			t.Errorf("%v is mirrored at %v", c[0], c[1])
		}
	}
	if !image.reflected {
		t.Error("its image shows on land")
	}
}

// tool runs a program of the trade from PATH and returns what it prints. Where it is missing the test fails
// under CI and is skipped elsewhere.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	var complaint bytes.Buffer
	cmd := exec.Command(reference.Tool(t, name), args...)
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %q: %v\n%s%s", name, args, err, out, &complaint)
	}
	return out
}

// named finds a picture of the set.
func named(t *testing.T, name string) Picture {
	t.Helper()
	for _, p := range Pictures() {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no picture is called %s", name)
	return Picture{}
}

// gallery is where written keeps its files.
var gallery string

func TestMain(m *testing.M) {
	os.Exit(func() int {
		var err error
		if gallery, err = os.MkdirTemp("", "demo-pictures"); err != nil {
			panic(err)
		}
		defer os.RemoveAll(gallery)
		return m.Run()
	}())
}

// written is the path of a picture's file, written once at 1/16 of its size. It is not to be changed.
func written(t *testing.T, p Picture) string {
	t.Helper()
	path := filepath.Join(gallery, p.Name)
	if _, err := os.Stat(path); err == nil {
		return path
	}
	if err := p.Reduced(16).Write(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	return path
}

// fresh is the bytes of a picture's file at 1/by of its size, painted anew.
func fresh(t *testing.T, p Picture, by int) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), p.Name)
	if err := p.Reduced(by).Write(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// decoded reads a picture file through the standard decoders.
func decoded(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// looked is written, decoded.
func looked(t *testing.T, p Picture) image.Image {
	t.Helper()
	data, err := os.ReadFile(written(t, p))
	if err != nil {
		t.Fatal(err)
	}
	return decoded(t, data)
}

// painted paints layers on a grey-ramped 16-bit plate with a camera that adds nothing but its lens.
func painted(t *testing.T, f frame, layers ...layer) *image.RGBA64 {
	t.Helper()
	img := image.NewRGBA64(image.Rect(0, 0, f.w, f.h))
	plain := look{space: linearSpace, exposure: 1, contrast: 1}
	if err := render(context.Background(), f, layers, developer(f, plain, deepPlate{img})); err != nil {
		t.Fatal(err)
	}
	return img
}

// flat is an even field of grey.
func flat(grey float32) field {
	return func(float32) func(float32, rgb) rgb {
		return func(float32, rgb) rgb { return rgb{grey, grey, grey} }
	}
}
