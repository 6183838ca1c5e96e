package render_test

import (
	"image"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/testkit/reference"
)

// A real, sharp photograph is stored with chroma as fine as luma and with a quarter of
// it, as most cameras do, and printed three times as large. The mean difference between
// the prints is about the least that an eye sees (1 CIEDE2000, a usual threshold), and
// most of it is finer than an eye resolves colour. It is smaller than when chroma is
// refined first and then enlarged.
func TestCoarseChromaDoesNotShowThreeTimesEnlarged(t *testing.T) {
	in, dir := realPicture(t), t.TempDir()
	enlarged := func(name string, args ...string) image.Image {
		file := filepath.Join(dir, name)
		reference.Output(t, "convert", append(append([]string{in}, args...), "-quality", "98", file)...)
		src, err := photo.Open(file, photo.DefaultLimits())
		if err != nil {
			t.Fatal(err)
		}
		o := pixels(t, 1500, 1125, 360, unsharpened)
		p := order.NewPlan(&src.Info, o)
		if want := map[string]string{"fine.jpg": "", "coarse.jpg": "4:2:0", "refined.png": ""}[name]; p.Picture.Subsampling != want {
			t.Errorf("%s is planned as %q", name, p.Picture.Subsampling)
		}
		return decode(t, carriedOut(t, p, src))
	}
	fine := enlarged("fine.jpg", "-sampling-factor", "1x1")
	coarse := enlarged("coarse.jpg", "-sampling-factor", "2x2")
	// libjpeg refines chroma by a triangle filter when it decodes.
	in = filepath.Join(dir, "coarse.jpg")
	refined := enlarged("refined.png")
	mean, most := colourDifference(fine, coarse)
	theirMean, theirMost := colourDifference(fine, refined)
	t.Logf("4:2:0 beside 4:4:4: %.3f CIEDE2000 on the mean, %.2f in 99 of 100; decoded by libjpeg and then enlarged: %.3f and %.2f", mean, most, theirMean, theirMost)
	if mean > 1.1 || most > 4.8 || mean > 0.9*theirMean || most > 0.9*theirMost {
		t.Errorf("%.3f CIEDE2000 on the mean, %.2f in 99 of 100; after libjpeg %.3f and %.2f", mean, most, theirMean, theirMost)
	}
}

// colourDifference returns the mean CIEDE2000 and its 99th percentile.
func colourDifference(a, b image.Image) (mean, most float64) {
	var all []float64
	for y := 0; y < a.Bounds().Dy(); y += 3 {
		for x := 0; x < a.Bounds().Dx(); x += 3 {
			d := 100 * of(a, x, y).DistanceCIEDE2000(of(b, x, y))
			all = append(all, d)
			mean += d
		}
	}
	slices.Sort(all)
	return mean / float64(len(all)), all[int(math.Floor(0.99*float64(len(all))))]
}

func of(img image.Image, x, y int) colorful.Color {
	r, g, b, _ := img.At(x, y).RGBA()
	return colorful.Color{R: float64(r) / 65535, G: float64(g) / 65535, B: float64(b) / 65535}
}
