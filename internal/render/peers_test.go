package render_test

import (
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/testkit/reference"
)

// realPicture is a sample photograph of the module github.com/rwcarlsen/goexif
// (500 x 375 px), as a lossless PNG, so that every program starts from the same pixels.
func realPicture(t *testing.T) string {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/rwcarlsen/goexif").Output()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "real.png")
	reference.Output(t, "vips", "copy", filepath.Join(strings.TrimSpace(string(dir)), "exif", "sample1.jpg"), name+"[strip]")
	return name
}

// resampled is plain resampling: no sharpening and, on request, no halo limit, in encoded
// values, because that is what the other programs do by default.
func resampled(t *testing.T, name string, w, h int, limit bool) image.Image {
	t.Helper()
	src, err := photo.Open(name, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	p := order.NewPlan(&src.Info, pixels(t, w, h, 254, unsharpened))
	p.Scale.HaloLimit, p.Scale.Light, p.Scale.ChromaKernel = limit, "encoded", p.Scale.Kernel
	if !limit {
		p.Scale.Curve, p.Scale.Aperture = 0, 0
	}
	return decode(t, tiffOf(t, p.Recipe(), src, p.Profiles, 2))
}

// psnr returns the PSNR in dB over the three channels, without the border, which programs
// continue in different ways.
func psnr(a, b image.Image, border int) float64 {
	var sum float64
	n := 0
	for y := border; y < a.Bounds().Dy()-border; y++ {
		for x := border; x < a.Bounds().Dx()-border; x++ {
			r0, g0, b0, _ := a.At(x, y).RGBA()
			r1, g1, b1, _ := b.At(x, y).RGBA()
			for _, d := range []float64{float64(r0) - float64(r1), float64(g0) - float64(g1), float64(b0) - float64(b1)} {
				sum += d * d
				n++
			}
		}
	}
	return 10 * math.Log10(65535*65535*float64(n)/sum)
}

// Both programs resample 8-bit values to 8-bit values. The rounding alone is
// 10 log10(12 * 255^2) = 58.9 dB from the unrounded truth, which is about the difference
// that remains.
func TestOurLanczosIsThePeersLanczos(t *testing.T) {
	in := realPicture(t)
	for _, c := range []struct {
		name  string
		w, h  int
		peer  func(out string)
		least float64 // dB
	}{
		{"ImageMagick, enlarged 3 times", 1500, 1125, func(out string) {
			reference.Output(t, "convert", in, "-filter", "Lanczos", "-resize", "1500x1125!", "-depth", "16", out)
		}, 55},
		{"ImageMagick, reduced 2.5 times", 200, 150, func(out string) {
			reference.Output(t, "convert", in, "-filter", "Lanczos", "-resize", "200x150!", "-depth", "16", out)
		}, 55},
		{"libvips reduce, 2.5 times", 200, 150, func(out string) {
			reference.Output(t, "vips", "reduce", in, out, "2.5", "2.5", "--kernel", "lanczos3")
		}, 50},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "peer.png")
			c.peer(out)
			theirs := decodePNG(t, out)
			ours := resampled(t, in, c.w, c.h, false)
			if theirs.Bounds() != ours.Bounds() {
				t.Fatalf("theirs is %v, ours %v", theirs.Bounds(), ours.Bounds())
			}
			got := psnr(ours, theirs, 12)
			t.Logf("PSNR between us: %.1f dB; with the halo limit %.1f dB", got, psnr(resampled(t, in, c.w, c.h, true), theirs, 12))
			if got < c.least {
				t.Errorf("PSNR between us is %.1f dB, want at least %v", got, c.least)
			}
		})
	}
}

// scaled is the scaling of a print, without sharpening.
func scaled(t *testing.T, name string, w, h int) image.Image {
	t.Helper()
	src, err := photo.Open(name, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	o := pixels(t, w, h, 254, unsharpened)
	return decode(t, carriedOut(t, order.NewPlan(&src.Info, o), src))
}

// A real picture is reduced by 2 and by 3, each small pixel the mean of its source
// pixels, and enlarged again: no filter of ImageMagick comes more than 0.1 dB nearer to
// the original. scripts/quality.sh does the same with a dozen photographs, and with
// libvips, SSIM and overshoot.
func TestNoFixedKernelEnlargesBetter(t *testing.T) {
	if underRace {
		t.Skip("run whole without the race detector")
	}
	in, dir := realPicture(t), t.TempDir()
	filters := strings.Fields(reference.Output(t, "convert", "-list", "filter"))
	for _, c := range []struct{ factor, w, h int }{{2, 320, 240}, {3, 321, 240}} {
		size := fmt.Sprintf("%dx%d", c.w, c.h)
		whole, small := filepath.Join(dir, "whole.png"), filepath.Join(dir, "small.png")
		reference.Output(t, "convert", in, "-crop", size+"+0+0", "+repage", whole)
		reference.Output(t, "convert", whole, "-depth", "16", "-scale", fmt.Sprintf("%dx%d!", c.w/c.factor, c.h/c.factor), small)
		truth := decodePNG(t, whole)
		ours := psnr(scaled(t, small, c.w, c.h), truth, 12)
		best, name := 0.0, ""
		peers := []string{small, "-depth", "16", "-define", "png:compression-level=1"}
		for _, filter := range filters {
			peers = append(peers, "(", "+clone", "-filter", filter, "-resize", size+"!", "-write", filepath.Join(dir, filter+".png"), "+delete", ")")
		}
		reference.Output(t, "convert", append(peers, "null:")...)
		for _, filter := range filters {
			if v := psnr(decodePNG(t, filepath.Join(dir, filter+".png")), truth, 12); v > best {
				best, name = v, filter
			}
		}
		t.Logf("x %d: ours %.2f dB, the best of ImageMagick's %.2f dB (%s)", c.factor, ours, best, name)
		if ours < best-0.1 {
			t.Errorf("x %d: ours comes to %.2f dB, ImageMagick's %s to %.2f dB", c.factor, ours, name, best)
		}
	}
}

func decodePNG(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// The halo limit must not cost fidelity: a real picture reduced by 2 and enlarged again
// is as near to the original with the limit as without, to 0.3 dB.
func TestTheHaloLimitCostsNoFidelity(t *testing.T) {
	in := realPicture(t)
	half := filepath.Join(t.TempDir(), "half.png")
	reference.Output(t, "convert", in, "-filter", "Box", "-resize", "250x187!", half)
	whole := filepath.Join(t.TempDir(), "whole.png")
	reference.Output(t, "convert", in, "-crop", "500x374+0+0", "+repage", whole)
	truth := decodePNG(t, whole)
	free, held := psnr(resampled(t, half, 500, 374, false), truth, 12), psnr(resampled(t, half, 500, 374, true), truth, 12)
	t.Logf("enlarged twice: %.2f dB without the limit, %.2f dB with it", free, held)
	if held < free-0.3 {
		t.Errorf("%.2f dB with the limit, %.2f without", held, free)
	}
}
