package render_test

import (
	"image"
	"math"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
)

// onPaper is an order of 60 x 40 mm at 254 ppi, 10 px a mm, on a media.
func onPaper(t testing.TB, m sheet.Media, change func(*config.Settings)) order.Order {
	t.Helper()
	o := asked(t, "40x60mm", func(s *config.Settings) {
		unsharpened(s)
		lenient(s)
		s.PPI, s.Compression = 254, "none"
		if change != nil {
			change(s)
		}
	})
	o.Media = []sheet.Media{m}
	o.Caption = order.CaptionWords{Name: "marsh", Date: "2026-03-14"}
	return o
}

// paper120 is a sheet of 100 x 120 mm with unequal margins.
var paper120 = sheet.Media{Name: "small", Kind: sheet.CutSheet, WidthMM: 100, LengthMM: 120,
	Margins: sheet.Margins{LeftMM: 3, RightMM: 3, LeadingMM: 3, TrailingMM: 15}}

func onSheet(t testing.TB, o order.Order) (image.Image, *order.Plan) {
	t.Helper()
	src := save(t, patterned(600, 400))
	p := order.NewPlan(&src.Info, o)
	if p.Refusal != nil {
		t.Fatal(p.Refusal.Text)
	}
	return decode(t, carriedOut(t, p, src)), p
}

func rgbAt(img image.Image, x, y int) [3]uint32 {
	r, g, b, _ := img.At(x, y).RGBA()
	return [3]uint32{r, g, b}
}

var (
	white16 = [3]uint32{65535, 65535, 65535}
	black16 = [3]uint32{}
)

// 100 mm at 254 ppi are 1000 px. The picture of 600 x 400 px is centred, at 200 and 400.
func TestThePictureLiesOnItsSheetAsItIsAlone(t *testing.T) {
	img, p := onSheet(t, onPaper(t, paper120, nil))
	if got := img.Bounds().Size(); got != image.Pt(1000, 1200) {
		t.Fatalf("the file is %v px, planned %+v", got, p.Paper.Raster)
	}
	alone, _ := onSheet(t, func() order.Order { o := onPaper(t, paper120, nil); o.Media = nil; return o }())
	at := image.Pt(p.Paper.Raster.Picture.X, p.Paper.Raster.Picture.Y)
	if at != image.Pt(200, 400) {
		t.Errorf("the picture lies at %v", at)
	}
	for y := range 1200 {
		for x := range 1000 {
			want := white16
			if in := image.Pt(x, y).Sub(at); in.In(alone.Bounds()) {
				want = rgbAt(alone, in.X, in.Y)
			}
			if got := rgbAt(img, x, y); got != want {
				t.Fatalf("at %d, %d it is %v, want %v", x, y, got, want)
			}
		}
	}
}

func TestABleedIsThePicturesOwnEdge(t *testing.T) {
	alone, _ := onSheet(t, func() order.Order { o := onPaper(t, paper120, nil); o.Media = nil; return o }())
	w, h := alone.Bounds().Dx(), alone.Bounds().Dy()
	for _, way := range []sheet.BleedWay{sheet.Reflect, sheet.Stretch, sheet.Replicate} {
		img, p := onSheet(t, onPaper(t, paper120, func(s *config.Settings) { s.BleedMM, s.Bleed = 5, string(way) }))
		at, ink := p.Paper.Raster.Picture, p.Paper.Raster.Ink
		if ink.Width != w+100 || ink.Height != h+100 {
			t.Fatalf("%s: ink of %d x %d px", way, ink.Width, ink.Height)
		}
		for _, d := range []image.Point{{-1, 10}, {-50, 7}, {w, 20}, {w + 49, 300}, {33, -1}, {33, -50}, {90, h}, {90, h + 49}, {-30, -20}, {w + 5, h + 9}} {
			in := d
			for _, axis := range []struct {
				at *int
				n  int
			}{{&in.X, w}, {&in.Y, h}} {
				if *axis.at < 0 {
					*axis.at = way.Inside(-1 - *axis.at)
				} else if *axis.at >= axis.n {
					*axis.at = axis.n - 1 - way.Inside(*axis.at-axis.n)
				}
			}
			if got, want := rgbAt(img, at.X+d.X, at.Y+d.Y), rgbAt(alone, in.X, in.Y); got != want {
				t.Errorf("%s, %v px from the picture's corner: %v, want that of %v, %v", way, d, got, in, want)
			}
		}
		if got := rgbAt(img, at.X-51, at.Y+10); got != white16 {
			t.Errorf("%s: beyond the bleed it is %v", way, got)
		}
	}
}

// A trim mark is on the line of the cut: the first pixel beyond the picture's edge.
func TestMarksLandOnThePixel(t *testing.T) {
	img, p := onSheet(t, onPaper(t, paper120, func(s *config.Settings) { s.TrimMarks, s.BleedMM = true, 3 }))
	r := p.Paper.Raster
	if len(r.Marks) != 8 {
		t.Fatalf("%d marks, want two at each corner", len(r.Marks))
	}
	for _, m := range r.Marks {
		onEdge := m.Right() == r.Picture.X || m.X == r.Picture.Right() || m.Bottom() == r.Picture.Y || m.Y == r.Picture.Bottom()
		if !onEdge || m.Width > 60 || m.Height > 60 {
			t.Errorf("the mark %+v is on no edge of %+v", m, r.Picture)
		}
		for y := m.Y; y < m.Bottom(); y++ {
			for x := m.X; x < m.Right(); x++ {
				if rgbAt(img, x, y) != black16 {
					t.Fatalf("the mark %+v is %v at %d, %d", m, rgbAt(img, x, y), x, y)
				}
			}
		}
		if rgbAt(img, m.X-1, m.Y-1) != white16 {
			t.Errorf("beside the mark %+v it is not white", m)
		}
	}
}

func TestACaptionStandsBelowThePictureInItsOwnWords(t *testing.T) {
	img, p := onSheet(t, onPaper(t, paper120, func(s *config.Settings) { s.Caption, s.CaptionMM = "{name}, {size}, {date}", 4 }))
	if got := p.Paper.Layout.Options.Caption; got != "marsh, 40x60mm, 2026-03-14" {
		t.Errorf("the caption is %q", got)
	}
	c := p.Paper.Raster.Caption
	if c == nil || c.Y < p.Paper.Raster.Picture.Bottom() {
		t.Fatalf("the caption is at %+v, the picture at %+v", c, p.Paper.Raster.Picture)
	}
	dark := 0
	for y := range 1200 {
		for x := range 1000 {
			pic := p.Paper.Raster.Picture
			if x >= pic.X && x < pic.Right() && y >= pic.Y && y < pic.Bottom() || rgbAt(img, x, y) == white16 {
				continue
			}
			if x < c.X || x >= c.Right() || y < c.Y || y >= c.Bottom() {
				t.Fatalf("ink at %d, %d, outside picture and caption", x, y)
			}
			dark++
		}
	}
	if dark < 300 {
		t.Errorf("the caption has %d pixels of ink", dark)
	}
}

func TestAGalleryWrapIsReflectedAllRound(t *testing.T) {
	img, p := onSheet(t, onPaper(t, sheet.RollOf("roll", 100), func(s *config.Settings) { s.WrapMM = 15 }))
	at := p.Paper.Raster.Picture
	for _, d := range []int{1, 40, 149} {
		if got, want := rgbAt(img, at.X-1-d, at.Y+55), rgbAt(img, at.X+d, at.Y+55); got != want {
			t.Errorf("%d px out on the left: %v, inside %v", d, got, want)
		}
		if got, want := rgbAt(img, at.X+71, at.Bottom()+d), rgbAt(img, at.X+71, at.Bottom()-1-d); got != want {
			t.Errorf("%d px out below: %v, inside %v", d, got, want)
		}
	}
}

func TestASheetIsTheSameWhereverItIsCut(t *testing.T) {
	o := onPaper(t, paper120, func(s *config.Settings) {
		s.TrimMarks, s.BleedMM, s.Caption = true, 4, "{name}"
		s.OutputSharpening, s.BlurPX = 1, 0.7
	})
	src := save(t, patterned(600, 400))
	var want image.Image
	for _, cut := range [][2]int{{2000, 4096}, {1, 512}, {16, 100}, {37, 31}} {
		p := order.NewPlan(&src.Info, o)
		p.File.BandRows = cut[0]
		data := func() []byte {
			r, err := render.New(p.Recipe(), src, p.Profiles)
			if err != nil {
				t.Fatal(err)
			}
			r.CutInto(cut[1])
			return written(t, r)
		}()
		got := decode(t, data)
		if want == nil {
			want = got
		} else if d := largestDifference(want, got); d != 0 {
			t.Errorf("bands of %d rows in tiles of %d columns differ by up to %d of 65535", cut[0], cut[1], d)
		}
	}
}

// 110 x 73 mm fit a sheet of 100 x 120 mm only in landscape; the file stays upright, at
// 120 x 100 mm.
func TestAPrintThatLiesSidewaysIsStillUprightInItsFile(t *testing.T) {
	o := onPaper(t, sheet.Media{Name: "small", Kind: sheet.CutSheet, WidthMM: 100, LengthMM: 120}, nil)
	o.Size.WidthMM, o.Size.HeightMM = 73.4, 110
	img, p := onSheet(t, o)
	if !p.Paper.Layout.Turned || img.Bounds().Size() != image.Pt(1200, 1000) {
		t.Errorf("turned %v, a file of %v px", p.Paper.Layout.Turned, img.Bounds().Size())
	}
	if at := p.Paper.Raster.Picture; at.Width != 1100 || at.X != 50 {
		t.Errorf("the picture lies at %+v", at)
	}
}

// A packed print's file is the piece with its marks and no paper around it.
func TestAPieceForPackingIsTheFileAlone(t *testing.T) {
	img, p := onSheet(t, onPaper(t, sheet.RollOf("roll", 200), func(s *config.Settings) { s.Pack, s.TrimMarks, s.BleedMM = true, true, 3 }))
	r, k := p.Paper.Raster, p.Paper.Pack
	if k == nil || img.Bounds().Size() != image.Pt(r.Width, r.Height) {
		t.Fatalf("%+v, a file of %v px", k, img.Bounds().Size())
	}
	if math.Abs(float64(r.Width)/10-k.WidthMM) > 0.2 || r.Width >= 2000 || k.Roll.WidthMM != 200 {
		t.Errorf("the piece is %+v, the raster %d x %d px", k, r.Width, r.Height)
	}
	for _, m := range r.Marks {
		if rgbAt(img, m.X, m.Y) != black16 {
			t.Errorf("no mark at %+v", m)
		}
	}
}
