package report

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/ladder"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
)

// crops writes the cut-outs of a print, three places of 320 px at 360 ppi.
func (s *studioDir) crops(folder, name string, noise bool) []record.Crop {
	s.Helper()
	var all []record.Crop
	for _, place := range []string{"detail", "gradient", "gamut"} {
		c := record.Crop{
			Name: place, Why: "the " + place + " measured most", X: 100, Y: 200, SidePX: 320, SideMM: 22.6,
			File: name + "." + place + ".jpg", Before: name + "." + place + ".before.jpg",
		}
		s.Preview("outbox/"+folder+"/"+c.File, 320, 320, noise)
		s.Preview("outbox/"+folder+"/"+c.Before, 320, 320, noise)
		all = append(all, c)
	}
	return all
}

// climbed is the ladder of a 26 megapixel picture, this folder's rung marked.
func (s *studioDir) climbed(name, mark string) *ladder.Ladder {
	s.Helper()
	var sizes []printsize.Size
	for _, n := range []string{"A5", "A4", "A2", "40x60in"} {
		size, _, err := printsize.Parse(n)
		s.Must(err)
		sizes = append(sizes, size)
	}
	return ladder.New(ladder.Picture{Name: name, Width: 6240, Height: 4160, Spectrum: &detail.Spectrum{}}, sizes, ladder.Options{Mark: mark})
}

func TestCutOutsAreShownBeforeAndAfterWithAScaleBar(t *testing.T) {
	s := newStudio(t)
	e := s.Made("A2", "reeds.jpg")
	e.Record.Print.Crops = s.crops("A2", "reeds", false)
	page := plain(s.page(nightOf(e)))
	after(t, page,
		">Cut-outs, pixel for pixel<", "The detail measured most. 320 px are 22.6 mm on paper.",
		">Before sharpening<", `alt="The same cut-out of reeds.jpg before sharpening, the finest detail"`, `loading="lazy" decoding="async"`,
		// 22.6 mm over 320 px: 5 mm are 70.8 px.
		`style="width: 70.8px">5 mm<`, `href="../A2/reeds.detail.before.jpg"`,
		">As printed<", `alt="Cut-out of the print of reeds.jpg, the finest detail"`, `>5 mm<`, `href="../A2/reeds.detail.jpg"`,
		">The gradient measured most.<", ">The gamut measured most.<")
}

func TestAScaleBarIsARoundNumberOfMillimetresAndFits(t *testing.T) {
	for _, test := range []struct{ ppi, mm float64 }{{360, 5}, {720, 2}, {180, 10}, {100, 20}, {2400, 1}, {25.4, 50}, {304.8, 5}} {
		perPX := printsize.MMPerInch / test.ppi
		if got := barMM(perPX); got != test.mm || got/perPX > 96.001 {
			t.Errorf("at %g ppi: %g mm over %.1f px, want %g mm", test.ppi, got, got/perPX, test.mm)
		}
	}
}

// TestACutOutKeepsThePixelsOfThePrint: it is cut, never scaled.
func TestACutOutKeepsThePixelsOfThePrint(t *testing.T) {
	s := newStudio(t)
	img := image.NewGray(image.Rect(0, 0, 320, 320))
	for i := range img.Pix {
		img.Pix[i] = 128
	}
	for y := range 320 { // two lines 100 px apart about the middle
		img.SetGray(110, y, color.Gray{255})
		img.SetGray(210, y, color.Gray{255})
	}
	var b bytes.Buffer
	s.Must(jpeg.Encode(&b, img, &jpeg.Options{Quality: 100}))
	s.Put("outbox/A2/lines.jpg", b.Bytes())
	root, err := os.OpenRoot(s.Root)
	s.Must(err)
	defer root.Close()
	got, err := cutOut(root, "outbox/A2/lines.jpg", cutSide)
	s.Must(err)
	raw, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(string(got.URI), "data:image/jpeg;base64,"))
	s.Must(err)
	cut, err := jpeg.Decode(bytes.NewReader(raw))
	s.Must(err)
	var lines []int
	for x := range cut.Bounds().Dx() {
		if c := color.GrayModel.Convert(cut.At(x, 50)).(color.Gray); c.Y > 200 {
			lines = append(lines, x)
		}
	}
	if got.Width != cutSide || len(lines) != 2 || lines[0] != 110-48 || lines[1] != 210-48 {
		t.Errorf("%d px with lines at %v, want %d px, the lines at 62 and 162", got.Width, lines, cutSide)
	}
}

func TestACutOutThatIsNotThereIsLeftOut(t *testing.T) {
	s := newStudio(t)
	e := s.Made("A2", "reeds.jpg")
	e.Record.Print.Crops = s.crops("A2", "reeds", false)
	e.Record.Print.Crops[1].SideMM = 0
	s.Must(os.Remove(filepath.Join(s.Root, "outbox/A2/reeds.detail.before.jpg")))
	page := s.page(nightOf(e))
	if got := strings.Count(page, `class="pair"`); got != 1 {
		t.Errorf("%d pairs, want the one that is whole", got)
	}
}

func TestTheLadderIsDrawnWithThisRungMarked(t *testing.T) {
	s := newStudio(t)
	e := s.Made("A2", "reeds.jpg")
	e.Record.Ladder = s.climbed("reeds.jpg", "A2")
	after(t, s.page(nightOf(e)), ">How large it can go<", `class="rule-of-sizes"`, `class="band"`, ">this print<")

	e.Record.Ladder = &ladder.Ladder{} // a record with a hole
	if page := s.page(nightOf(e)); strings.Contains(page, `class="rule-of-sizes"`) {
		t.Error("a ladder of no rungs is drawn")
	}
}

// TestAPairIsOfOneSize, also where one of the two is richer and shows less.
func TestAPairIsOfOneSize(t *testing.T) {
	s := newStudio(t)
	s.Preview("outbox/A2/soft.jpg", 320, 320, false)
	s.Preview("outbox/A2/rich.jpg", 320, 320, true)
	root, err := os.OpenRoot(s.Root)
	s.Must(err)
	defer root.Close()
	both, ok := pairOf("outbox/A2/soft.jpg", "outbox/A2/rich.jpg", pictures{ctx: t.Context(), studio: root, album: &Album{}})
	if !ok || both[0].Width != both[1].Width || both[1].Width >= cutSide {
		t.Errorf("%v: %d and %d px", ok, both[0].Width, both[1].Width)
	}
}
