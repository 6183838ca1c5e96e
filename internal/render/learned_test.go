package render_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/learned"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// predicts asks for a network, at 254 ppi (ten print pixels a millimetre), and nothing else.
func predicts(s *config.Settings) {
	lenient(s)
	s.Enlarge, s.PPI, s.Compression = config.EnlargeLearned, 254, config.CompressionNone
	s.PreSharpening, s.OutputSharpening, s.Grain = 0, 0, 0
}

// predicted plans an order with what a trial on its picture bears out.
func predicted(src *photo.Photo, o order.Order) *order.Plan {
	measured, _ := order.Measure(src, o)
	p := order.NewPlan(&src.Info, o).WithMeasurement(measured, o)
	p.PreSharpening.Applied, p.ScaleSharpening.Applied, p.OutputSharpening.Applied = false, false, false
	return p
}

func TestWhatIsPredictedIsTheSameHoweverItIsMade(t *testing.T) {
	src := save(t, patterned(301, 202))
	p := order.NewPlan(&src.Info, asked(t, "45x67mm", predicts))
	p.Scale.Learned = render.Learned{Weights: learned.For(2.2).Digest, Share: 0.75}
	one := carriedOutBy(t, p, src, 1)
	if many := carriedOutBy(t, p, src, 5); !bytes.Equal(one, many) {
		t.Error("five workers make other bytes than one")
	}
	want := decode(t, one)
	p.File.BandRows = 37
	r, err := render.New(p.Recipe(), src, p.Profiles)
	if err != nil {
		t.Fatal(err)
	}
	r.CutInto(100)
	if d := largestDifference(want, decode(t, written(t, r))); d != 0 {
		t.Errorf("other bands and tiles differ by up to %d", d)
	}
	p.Scale.Learned = render.Learned{}
	if largestDifference(want, decode(t, carriedOut(t, p, src))) == 0 {
		t.Error("the network adds nothing")
	}
}

// The photographs of python3-skimage and python3-sklearn were kept out of what the networks
// learnt from (scripts/learn).
var unseen = []string{
	"/usr/lib/python3/dist-packages/sklearn/datasets/images/china.jpg",
	"/usr/lib/python3/dist-packages/sklearn/datasets/images/flower.jpg",
	"/usr/lib/python3/dist-packages/skimage/data/coffee.png",
	"/usr/lib/python3/dist-packages/skimage/data/motorcycle_left.png",
	"/usr/lib/python3/dist-packages/skimage/data/text.png",
	"/usr/lib/python3/dist-packages/skimage/data/grass.png",
}

func TestAPhotographThatWasReducedIsPredictedNearerThanByTheKernelAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("several seconds")
	}
	for _, by := range []int{2, 4} {
		mean := 0.0
		for _, name := range unseen {
			gain := predictedGain(t, filepath.Base(name), greyOf(t, name, 160*by), by)
			if gain < -0.2 {
				t.Errorf("x%d %s: %.2f dB worse", by, filepath.Base(name), -gain)
			}
			mean += gain / float64(len(unseen))
		}
		if mean < map[int]float64{2: 0.5, 4: 0.25}[by] {
			t.Errorf("x%d: a mean gain of %.2f dB", by, mean)
		}
	}
}

func TestAChartIsNotPredictedWorseThanByTheKernelAlone(t *testing.T) {
	const side = 240
	for name, luma := range map[string]func(x, y int) float64{
		"a chessboard":         func(x, y int) float64 { return 0.1 + 0.8*float64((x/7+y/7)%2) },
		"a zone plate":         func(x, y int) float64 { return 0.5 + 0.45*math.Cos(math.Pi*float64(x*x+y*y)/(4*side)) },
		"a night sky of noise": func(x, y int) float64 { return 0.05 + 0.04*math.Abs(math.Sin(float64(x*7919+y*104729))) },
	} {
		chart := image.NewGray16(image.Rect(0, 0, side, side))
		for y := range side {
			for x := range side {
				chart.SetGray16(x, y, color.Gray16{Y: uint16(65535 * luma(x, y))})
			}
		}
		if gain := predictedGain(t, name, chart, 2); gain < -0.2 {
			t.Errorf("%s: %.2f dB worse", name, -gain)
		}
	}
}

// predictedGain reduces a picture, enlarges it again with and without a network, and
// returns how many dB nearer the first comes to it.
func predictedGain(t *testing.T, name string, truth *image.Gray16, by int) float64 {
	t.Helper()
	src := save(t, reducedBy(truth, by))
	p := predicted(src, asked(t, fmt.Sprintf("%gx%gmm", float64(truth.Rect.Dx())/10, float64(truth.Rect.Dy())/10), predicts))
	with := psnrOf(truth, decode(t, carriedOut(t, p, src)), 8*by)
	p.Scale.Learned = render.Learned{}
	without := psnrOf(truth, decode(t, carriedOut(t, p, src)), 8*by)
	t.Logf("x%d %s: %.2f dB, %+.2f; %s", by, name, without, with-without, p.Predicted)
	return with - without
}

func TestNothingIsPredictedOfAnEvenPicture(t *testing.T) {
	img := image.NewGray16(image.Rect(0, 0, 300, 200))
	for i := range img.Pix {
		img.Pix[i] = 0x60
	}
	src := save(t, img)
	p := predicted(src, asked(t, "40x60mm", predicts))
	p.Scale.Learned = render.Learned{Weights: learned.For(2).Digest, Share: 1}
	got := decode(t, carriedOut(t, p, src))
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			if v := color.Gray16Model.Convert(got.At(x, y)).(color.Gray16).Y; v != 0x6060 {
				t.Fatalf("0x6060 became %#x at %d, %d", v, x, y)
			}
		}
	}
}

func TestARecipeIsRefusedForANetworkThatIsNotHere(t *testing.T) {
	src := save(t, patterned(60, 40))
	p := order.NewPlan(&src.Info, asked(t, "20x30mm", predicts))
	p.Scale.Learned = render.Learned{Weights: "00", Share: 1}
	if _, err := render.New(p.Recipe(), src, p.Profiles); err == nil {
		t.Error("it is not")
	}
}

// greyOf returns the middle of a photograph, at most that long.
func greyOf(t *testing.T, name string, side int) *image.Gray16 {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatalf("%v: scripts/test.sh installs the package that has it", err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	w, h := min(side, b.Dx())/8*8, min(side, b.Dy())/8*8
	out := image.NewGray16(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			out.Set(x, y, img.At(b.Min.X+(b.Dx()-w)/2+x, b.Min.Y+(b.Dy()-h)/2+y))
		}
	}
	return out
}

// reducedBy averages squares of pixels, as they are encoded.
func reducedBy(img *image.Gray16, by int) *image.Gray16 {
	out := image.NewGray16(image.Rect(0, 0, img.Rect.Dx()/by, img.Rect.Dy()/by))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			sum := 0
			for j := range by {
				for i := range by {
					sum += int(img.Gray16At(x*by+i, y*by+j).Y)
				}
			}
			out.SetGray16(x, y, color.Gray16{Y: uint16(sum / by / by)})
		}
	}
	return out
}

// psnrOf is the peak signal to noise ratio in dB inside a margin.
func psnrOf(want *image.Gray16, got image.Image, margin int) float64 {
	sum, n := 0.0, 0.0
	for y := margin; y < want.Rect.Dy()-margin; y++ {
		for x := margin; x < want.Rect.Dx()-margin; x++ {
			d := float64(want.Gray16At(x, y).Y) - float64(color.Gray16Model.Convert(got.At(x, y)).(color.Gray16).Y)
			sum, n = sum+d*d, n+1
		}
	}
	return 10 * math.Log10(65535*65535*n/sum)
}
