package detail

import (
	"bufio"
	"crypto/sha256"
	_ "embed"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"sizewright/internal/photo"
)

// photographs are those of Debian's packages, by digest (SHA-256), licence (as the
// package's copyright file or the files beside it have it) and path. Drawings and pictures that were
// enlarged are left out.
//
//go:embed testdata/photographs.txt
var photographs string

// nowhereSharp are those that are soft all over: the view from a moving car.
var nowhereSharp = map[string]bool{"Storm": true}

// soft is what no photograph that is sharp somewhere is read as.
const soft = 0.4

// sharpAt is a page's true resolution by its sharpest places alone.
func (p page) sharpAt() float64 {
	s := surveyOf(p, squareSide(min(p.w, p.h)), false)
	f := floorOf(&s, noiseOf(readTiles(p), p.rounding), p.rounding)
	resolution, _ := p.sharpest(f, s.rings.n)
	return resolution
}

// stored is the page as a JPEG of quality 95, opened again.
func (p page) stored(t *testing.T) page {
	t.Helper()
	m, read, row := image.NewGray(image.Rect(0, 0, p.w, p.h)), p.reader(), make([]float32, p.w)
	for y := range p.h {
		read.read(y, row)
		for x, v := range row {
			m.Pix[y*p.w+x] = uint8(math.Round(255 * float64(min(1, max(0, v)))))
		}
	}
	path := filepath.Join(t.TempDir(), "stored.jpg")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	if err := jpeg.Encode(w, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	src, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return pageOf(src)
}

// smaller is a kernel of an antialiased reduction: Lanczos', as wide as the reduction.
func smaller(by float64) kernel {
	return kernel{3 * by, func(x float64) float64 { return sinc(x/by) * sinc(x/by/3) }}
}

// blurs are kernels, and what they leave as a share of the grid: see limit_test.go.
var blurs = []struct {
	kernel kernel
	leaves float64
}{
	{kernel{5, func(x float64) float64 { return math.Exp(-x * x / 2 / 1.5 / 1.5) }}, 0.5 / 1.5},
	{kernel{9, func(x float64) float64 { return math.Exp(-x * x / 2 / 3 / 3) }}, 0.5 / 3},
}

// A photograph that is reduced shows as much as before, or all that its new grid
// holds: within 15 % for all but Garden and DarkestHour (0.82 to 1.2 times). One that is sharp anywhere is not called soft.
// One that is halved and blurred is found within 15 % of what the blur leaves, the lesser
// of both, or both together, as of two Gaussians one after the other, for two in three.
func TestAPhotographHoldsItsWidthAndShowsItsBlur(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(photographs), "\n")
	var lock sync.Mutex
	held, all, found, blurred := 0, 0, 0, 0
	inParallel(len(lines), func() func(int) {
		return func(i int) {
			name, p := photographOf(t, lines[i])
			own := p.sharpAt()
			if own < soft && !nowhereSharp[name] {
				t.Errorf("%s is sharp somewhere, and was read as %.2f", name, own)
			}
			by := []float64{1.25, 1.5, 2, 3}[i%4]
			less := p.enlarged(1/by, smaller(by)).stored(t)
			got, want := less.sharpAt(), min(1, own*float64(p.w)/float64(less.w))
			t.Logf("%s %.2f; reduced %v times %.2f, want %.2f", name, own, by, got, want)
			lock.Lock()
			all++
			if off(got, want) <= 0.15 {
				held++
			}
			lock.Unlock()
			if i%3 != 0 { // to save time
				return
			}
			blur := blurs[i/3%len(blurs)]
			half := p.enlarged(0.5, smaller(2)).held()
			after, sharp := half.enlarged(1, blur.kernel).stored(t).sharpAt(), min(1, 2*own)
			most, least := min(sharp, blur.leaves), 1/math.Hypot(1/sharp, 1/blur.leaves)
			t.Logf("%s, blurred: %.3f, want %.3f to %.3f", name, after, least, most)
			lock.Lock()
			defer lock.Unlock()
			blurred++
			if after <= 1.15*most && after >= 0.85*least {
				found++
			}
		}
	})
	t.Logf("width held in %d of %d, blur found in %d of %d", held, all, found, blurred)
	if held < len(lines)-2 {
		t.Errorf("width held in %d of %d", held, all)
	}
	if 3*found < 2*blurred {
		t.Errorf("blur found in %d of %d", found, blurred)
	}
}

// photographOf opens a photograph of the list, which must be the one that was listed.
func photographOf(t *testing.T, line string) (name string, p page) {
	t.Helper()
	field := strings.Fields(line)
	path := field[2]
	name = strings.SplitN(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)), "_by_", 2)[0]
	if strings.Contains(path, "wallpapers/") {
		name = strings.Split(path, "/")[4]
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; scripts/test.sh installs the packages", err)
	}
	if got := fmt.Sprintf("%x", sha256.Sum256(data)); got != field[0] {
		t.Fatalf("%s is not the photograph that was listed: digest %s", path, got)
	}
	src, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return name, pageOf(src)
}
