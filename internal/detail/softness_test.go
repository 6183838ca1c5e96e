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
	"slices"
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

// A photograph that is sharp anywhere is not called soft. Reduced, it shows as much as before, or all that its new grid
// holds: within 15 % for all but Garden and DarkestHour (0.82 to 1.2 times).
// One that is halved and blurred is found within 15 % of what the blur leaves, the lesser
// of both, or both together, as of two Gaussians one after the other, for two in three.
func TestAPhotographHoldsItsWidthAndShowsItsBlur(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(photographs), "\n")
	var lock sync.Mutex
	held, all, found, blurred := 0, 0, 0, 0
	var steady steadiness
	inParallel(len(lines), func() func(int) {
		return func(i int) {
			name, p := photographOf(t, lines[i])
			steady.try(t, name, i, p)
			own := p.sharpAt()
			if own < soft && !nowhereSharp[name] {
				t.Errorf("%s is sharp somewhere, and was read as %.2f", name, own)
			}
			// To save time, every second one is reduced and every third blurred.
			if i%2 == 1 {
				by := []float64{1.25, 1.5, 2, 3}[i/2%4]
				less := p.enlarged(1/by, smaller(by)).stored(t)
				got, want := less.sharpAt(), min(1, own*float64(p.w)/float64(less.w))
				t.Logf("%s %.2f; reduced %v times %.2f, want %.2f", name, own, by, got, want)
				lock.Lock()
				all++
				if off(got, want) <= 0.15 {
					held++
				}
				lock.Unlock()
			}
			if i%3 != 0 {
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
	t.Logf("cut some pixels smaller: %d of %d hold", steady.held, steady.all)
	if 10*steady.held < 9*steady.all {
		t.Errorf("cut some pixels smaller: %d of %d hold", steady.held, steady.all)
	}
	if held < all-1 { // of the two only DarkestHour is among these
		t.Errorf("width held in %d of %d", held, all)
	}
	if 3*found < 2*blurred {
		t.Errorf("blur found in %d of %d", found, blurred)
	}
}

// part is w x h pixels of a page, from (x, y) on.
func (p page) part(x, y, w, h int) picture {
	c, read, row := picture{w, h, make([]float64, w*h)}, p.reader(), make([]float32, p.w)
	for j := range h {
		read.read(y+j, row)
		for i, v := range row[x:][:w] {
			c.v[j*w+i] = float64(v)
		}
	}
	return c
}

// page is the picture as one, stored in 8 bits.
func (p picture) page() page {
	c := coarse{p.w, p.h, 1, make([]float32, len(p.v))}
	for i, v := range p.v {
		c.pix[i] = float32(math.Round(255*v) / 255)
	}
	q := c.page()
	q.rounding = stepping
	return q
}

// mirrored is the picture as a mirror shows it.
func (p picture) mirrored() picture {
	return paint(p.w, p.h, func(x, y float64) float64 { return p.v[int(y)*p.w+p.w-1-int(x)] })
}

// turns are ways to lay a picture that change nothing of it.
var turns = []func(picture) picture{
	picture.mirrored,
	picture.turned,
	func(p picture) picture { return p.turned().turned().mirrored() }, // flipped
	func(p picture) picture { return p.turned().mirrored() },
}

// steadiness counts small parts of photographs whose resolution hardly hangs on how they
// are laid and where they are cut.
type steadiness struct {
	sync.Mutex
	all, held int
}

// A part that is mirrored or turned is read within 2 %, of odd sides within 4 %, where averaging
// by two leaves another pixel out. One cut some pixels smaller is read within 10 %, in nine of ten.
func (s *steadiness) try(t *testing.T, name string, i int, p page) {
	size := [][2]int{{437, 421}, {512, 384}, {450, 331}, {389, 480}}[i%4]
	w, h := min(size[0], p.w), min(size[1], p.h)
	x, y, most := (p.w-w)/2, (p.h-h)/2, 0.02
	if w%2+h%2 > 0 {
		most = 0.04
	}
	whole := p.part(x, y, w, h)
	own := whole.page().sharpAt()
	if got := turns[i%len(turns)](whole).page().sharpAt(); off(got, own) > most {
		t.Errorf("%s, %d x %d px: %.3f, turned or mirrored %.3f", name, w, h, own, got)
	}
	cut := [][4]int{{3, 2, 0, 0}, {2, 5, 0, 0}, {0, 0, 5, 3}}[i%3]
	got := p.part(x+cut[0], y+cut[1], w-cut[0]-cut[2], h-cut[1]-cut[3]).page().sharpAt()
	s.Lock()
	defer s.Unlock()
	s.all++
	if own == got || off(got, own) <= 0.1 {
		s.held++
		return
	}
	t.Logf("%s, %d x %d px: %.3f, some pixels smaller %.3f", name, w, h, own, got)
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

// A subject that is small in a frame blurred all over: the picture is as fine as the subject.
// At 6 % of the frame it is always found, at 3 % in two of three. House judgement.
func TestASharpPatchSpeaksForABlurredFrame(t *testing.T) {
	found := map[float64]int{}
	names := []string{"EveningGlow", "FallenLeaf", "Path"}
	for _, name := range names {
		sharp := cropOf(t, wallpaper(t, name), 1280, 800, 900, 600, 2)
		soft := sharp.enlarged(1, blurs[1].kernel)
		at := spots[name]
		for _, share := range []float64{0.03, 0.06} {
			p, w, h := picture{soft.w, soft.h, slices.Clone(soft.v)}, int(900*math.Sqrt(share)), int(600*math.Sqrt(share))
			x0, y0 := min(900-w, max(0, at[0]/2-190-w/2)), min(600-h, max(0, at[1]/2-100-h/2))
			for y := y0; y < y0+h; y++ {
				copy(p.v[y*p.w+x0:][:w], sharp.v[y*p.w+x0:][:w])
			}
			got := p.page().sharpAt()
			t.Logf("%s, %.0f %% sharp: %.3f; all of it %.3f, none %.3f", name, 100*share, got, sharp.page().sharpAt(), soft.page().sharpAt())
			if got > 0.6 {
				found[share]++
			}
		}
	}
	if found[0.06] < 3 || found[0.03] < 2 {
		t.Errorf("found at 6 %%: %d of 3, at 3 %%: %d of 3", found[0.06], found[0.03])
	}
}
