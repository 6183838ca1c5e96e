//go:build linux

package faults

import (
	"bytes"
	"image"
	"math/rand/v2"
	"slices"
	"testing"

	"golang.org/x/image/tiff"
)

func TestPicturesComeAgainFromTheirSeed(t *testing.T) {
	a, b := rand.New(rand.NewPCG(5, 0)), rand.New(rand.NewPCG(5, 0))
	for range 3 {
		p := Good(a)
		if again := Good(b); !bytes.Equal(p.Data, again.Data) {
			t.Errorf("a %s is another the second time", p.Kind)
		}
	}
}

func TestPicturesOfEveryFormAreWhole(t *testing.T) {
	m := scene(rand.New(rand.NewPCG(5, 0)), 390, 260)
	for _, f := range forms {
		data := f.of(m, Made).Data
		decode := func(data []byte) (image.Image, error) {
			m, _, err := image.Decode(bytes.NewReader(data))
			return m, err
		}
		if bytes.HasPrefix(data, []byte("II")) {
			decode = func(data []byte) (image.Image, error) { return tiff.Decode(bytes.NewReader(data)) }
		}
		got, err := decode(data)
		if err != nil {
			t.Errorf("%s: %v", f.kind, err)
		} else if got.Bounds() != m.Bounds() {
			t.Errorf("%s: it is %v, and was %v", f.kind, got.Bounds(), m.Bounds())
		}
	}
}

func TestTheDecoderSeesTheSceneInAProgressiveJPEG(t *testing.T) {
	m := scene(rand.New(rand.NewPCG(6, 0)), 400, 304)
	got, _, err := image.Decode(bytes.NewReader(progressiveJPEG(m, 1)))
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []image.Point{{4, 4}, {204, 148}, {396, 300}} {
		want, _, _, _ := image.NewGray(m.Bounds()).ColorModel().Convert(m.At(at.X, at.Y)).RGBA()
		grey, _, _, _ := got.At(at.X, at.Y).RGBA()
		if d := int(want>>8) - int(grey>>8); d < -1 || d > 1 {
			t.Errorf("at %v it is %d, and was %d", at, grey>>8, want>>8)
		}
	}
}

func TestNoTwoHostileFilesAreAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 0))
	var sums []string
	for _, p := range slices.Concat(Hostile(r), Hostile(r)) {
		if p.Data != nil {
			sums = append(sums, sum(p.Data))
		}
	}
	slices.Sort(sums)
	if n := len(slices.Compact(slices.Clone(sums))); n != len(sums) {
		t.Errorf("%d of %d", n, len(sums))
	}
}
