package order

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// picture is a header of the given size: upright, 8-bit RGB, no profile.
func picture(w, h int) *photo.Info {
	return &photo.Info{Format: "JPEG", Width: w, Height: h, Orientation: 1, Bits: 8, Model: photo.RGB}
}

// order is what a drop folder of this name asks for by default, with changes.
func asked(t testing.TB, folder string, change func(*config.Settings)) Order {
	t.Helper()
	size, stock, err := printsize.Parse(folder)
	if err != nil {
		t.Fatal(err)
	}
	s := config.Default().Settings(folder, stock)
	if change != nil {
		change(&s)
	}
	return Order{Size: size, Stock: stock, Settings: s}
}

// ISO 216 sizes and arithmetic: 594 mm at 360 ppi is 8418.9 px, and so on.
func TestPixelsAreExactAtThePrintersResolution(t *testing.T) {
	for _, c := range []struct {
		name, folder string
		w, h         int // picture
		fit          config.Fit
		ppi          float64
		wantW, wantH int
	}{
		{"A2 filled, upright", "A2", 3000, 4500, config.FitFill, 360, 5953, 8419},
		{"A2 filled, the picture lies", "A2", 4500, 3000, config.FitFill, 360, 8419, 5953},
		{"24x36 in is exactly the shape of a 3:2 picture", "24x36in", 4160, 6240, config.FitWhole, 360, 8640, 12960},
		{"24x36 in, lying", "24x36in", 6240, 4160, config.FitWhole, 360, 12960, 8640},
		{"40x60 in", "40x60in", 6240, 4160, config.FitWhole, 360, 21600, 14400},
		{"40x60 in at 300 ppi", "40x60in", 6240, 4160, config.FitWhole, 300, 18000, 12000},
		{"A2 whole: a 3:2 picture meets the long side", "A2", 6000, 4000, config.FitWhole, 360, 8419, 5613},
		{"A4 whole: a square picture meets the short side", "A4", 4000, 4000, config.FitWhole, 360, 2976, 2976},
		{"the order of the sides in the folder's name does not matter", "60x40in", 4160, 6240, config.FitWhole, 360, 14400, 21600},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := NewPlan(picture(c.w, c.h), asked(t, c.folder, func(s *config.Settings) { s.Fit, s.PPI = c.fit, c.ppi }))
			if p.Print.Width != c.wantW || p.Print.Height != c.wantH {
				t.Errorf("%d x %d px, want %d x %d", p.Print.Width, p.Print.Height, c.wantW, c.wantH)
			}
			if p.Print.WidthMM > p.Size.WidthMM+0.05 || p.Print.HeightMM > p.Size.HeightMM+0.05 {
				t.Errorf("%v x %v mm does not stay within %v x %v", p.Print.WidthMM, p.Print.HeightMM, p.Size.WidthMM, p.Size.HeightMM)
			}
		})
	}
}

func TestFillCropsAtTheCentreAndWholeCropsNothing(t *testing.T) {
	p := NewPlan(picture(6000, 4000), asked(t, "50x50cm", func(s *config.Settings) { s.Fit = config.FitFill }))
	if p.Crop != (render.Rect{X: 1000, Y: 0, Width: 4000, Height: 4000}) {
		t.Errorf("filled square crops %+v", p.Crop)
	}
	p = NewPlan(picture(6000, 4000), asked(t, "50x50cm", nil))
	if p.Crop != (render.Rect{Width: 6000, Height: 4000}) {
		t.Errorf("whole picture crops %+v", p.Crop)
	}
}

// What a word names is kept, and a word for the side that is not cut decides nothing.
func TestACropLiesWhereItIsAskedFor(t *testing.T) {
	for _, c := range []struct {
		folder, crop string
		w, h         int
		x, y         float64
		why          string
	}{
		{"50x50cm", "centre", 6000, 4000, 1000, 0, "at its centre"},
		{"50x50cm", "left", 6000, 4000, 0, 0, "to keep its left"},
		{"50x50cm", "right", 6000, 4000, 2000, 0, "to keep its right"},
		{"50x50cm", "top", 4000, 6000, 0, 0, "to keep its top"},
		{"50x50cm", "bottom left", 4000, 6000, 0, 2000, "to keep its bottom left"},
		{"50x50cm", "top right", 6000, 4000, 2000, 0, "to keep its top right"},
		{"50x50cm", "top", 6000, 4000, 1000, 0, `at its centre: "top" decides nothing where the sides are cut`},
		{"50x50cm bottom", "top", 4000, 6000, 0, 2000, "to keep its bottom"}, // the folder's name counts
		{"50x50cm auto", "top", 4000, 6000, 0, 1000, "at its centre until it is measured"},
	} {
		cfg, err := config.Parse("sizewright.toml", []byte("[print]\nfit = 'fill'\ncrop = '"+c.crop+"'\n"))
		if err != nil {
			t.Fatal(err)
		}
		o, err := NewOrder(c.folder, cfg)
		if err != nil {
			t.Fatal(err)
		}
		p := NewPlan(picture(c.w, c.h), o)
		if p.Crop != (render.Rect{X: c.x, Y: c.y, Width: 4000, Height: 4000}) || p.Cropping == nil || p.Cropping.Why != c.why {
			t.Errorf("%s, %s of %d x %d: %+v, %+v", c.folder, c.crop, c.w, c.h, p.Crop, p.Cropping)
		}
		if got := p.Recipe().Crop; got != p.Crop {
			t.Errorf("the recipe crops %+v, the plan %+v", got, p.Crop)
		}
	}
	if p := NewPlan(picture(6000, 4000), asked(t, "50x50cm", nil)); p.Cropping != nil {
		t.Errorf("a whole picture is cropped %+v", p.Cropping)
	}
}

func TestPixelsStaySquareToWithinHalfAPixel(t *testing.T) {
	for _, folder := range []string{"A4", "A3", "24x36in", "50x70cm", "A2"} {
		for _, fit := range []config.Fit{config.FitWhole, config.FitFill} {
			p := NewPlan(picture(5184, 3457), asked(t, folder, func(s *config.Settings) { s.Fit = fit }))
			if off := math.Abs(p.Scale.X/p.Scale.Y-1) * float64(p.Print.Height); off > 0.6 {
				t.Errorf("%s %s: scales %v and %v differ by %.2f px over the print", folder, fit, p.Scale.X, p.Scale.Y, off)
			}
		}
	}
}

func TestMinimumResolutionFollowsTheViewingDistance(t *testing.T) {
	for _, c := range []struct {
		folder           string
		distance         float64 // set, mm
		minimum, caution float64
	}{
		{"A6", 0, 129.4, 194},          // in the hand
		{"A4", 0, 108.7, 163.1},        // 357 mm across, seen from 535 mm
		{"A2", 0, 89.6, 134.3},         // at an arm's length
		{"24x36in", 0, 89.6, 134.3},    // the same
		{"24x36in", 500, 116.4, 174.6}, // hung where people stand close
		{"24x36in", 250, 232.8, 349.3}, // nobody resolves more than at the near point
	} {
		p := NewPlan(picture(6240, 4160), asked(t, c.folder, func(s *config.Settings) { s.ViewingDistanceMM = c.distance }))
		if math.Abs(p.Resolution.MinimumPPI-c.minimum) > 0.2 || math.Abs(p.Resolution.CautionPPI-c.caution) > 0.2 {
			t.Errorf("%s from %v mm: minimum %v, caution %v; want about %v and %v", c.folder, c.distance, p.Resolution.MinimumPPI, p.Resolution.CautionPPI, c.minimum, c.caution)
		}
	}
}

// Common practice, no source: a 26-megapixel file is printed at 24x36 in as a matter of
// course and at 40x60 in with care.
func TestA26MegapixelFileGoesTo24x36AndWithCareTo40x60(t *testing.T) {
	p := NewPlan(picture(6240, 4160), asked(t, "24x36in", nil))
	if p.Refusal != nil || has(p, "low-resolution") {
		t.Errorf("24x36 in: %+v", p.Resolution)
	}
	p = NewPlan(picture(6240, 4160), asked(t, "40x60in", nil))
	if p.Refusal != nil || !has(p, "low-resolution") {
		t.Errorf("40x60 in: refusal %+v, cautions %+v", p.Refusal, p.Cautions)
	}
}

func TestTooFewPixelsIsARefusalThatSaysWhatWouldDo(t *testing.T) {
	p := NewPlan(picture(3000, 2000), asked(t, "40x60in", nil))
	if p.Refusal == nil {
		t.Fatal("3000 x 2000 px were to be made into 40x60 in")
	}
	for _, words := range []string{"40x60in", "3000 x 2000 px", "50 ppi", "would carry"} {
		if !strings.Contains(p.Refusal.Text, words) {
			t.Errorf("%q does not say %q", p.Refusal.Text, words)
		}
	}
	// The size it suggests must be accepted, and the next larger one refused.
	again := NewPlan(picture(3000, 2000), asked(t, p.Refusal.Size, nil))
	if again.Refusal != nil {
		t.Errorf("%s was offered and is refused: %s", p.Refusal.Size, again.Refusal.Text)
	}
	known := printsize.Known()
	for i, s := range known[:len(known)-1] {
		if s.Name == p.Refusal.Size {
			if next := NewPlan(picture(3000, 2000), asked(t, known[i+1].Name, nil)); next.Refusal == nil {
				t.Errorf("%s would do too, so %s is not the largest", known[i+1].Name, s.Name)
			}
		}
	}
}

// 1200 px at 129 ppi, the least in the hand.
func TestVeryFewPixelsCarryOnlyASmallPrint(t *testing.T) {
	p := NewPlan(picture(1200, 800), asked(t, "A3", nil))
	if p.Refusal == nil || p.Refusal.WidthMM != 235 || p.Refusal.HeightMM != 157 || p.Refusal.Size != "A5" {
		t.Errorf("refusal %+v, want 235 x 157 mm and A5", p.Refusal)
	}
}

func TestReducingAveragesLightAndEnlargingHoldsHalos(t *testing.T) {
	small := NewPlan(picture(12000, 8000), asked(t, "A4", nil)).Scale
	if small.Light != "linear" || small.HaloLimit {
		t.Errorf("a reduction is planned as %+v", small)
	}
	large := NewPlan(picture(6240, 4160), asked(t, "24x36in", nil)).Scale
	if large.Light != "encoded" || !large.HaloLimit || large.Kernel != "lanczos3" {
		t.Errorf("an enlargement is planned as %+v", large)
	}
	same := NewPlan(picture(8640, 12960), asked(t, "24x36in", nil)).Scale
	if same.Kernel != "none" {
		t.Errorf("a picture of the print's own pixels is planned as %+v", same)
	}
}

func TestAPictureWithoutAProfileIsTakenAsSRGBWithACaution(t *testing.T) {
	for _, c := range []struct {
		name         string
		change       func(*photo.Info)
		code, source string
	}{
		{"nothing known", func(*photo.Info) {}, "no-profile", "sRGB"},
		{"EXIF says sRGB", func(i *photo.Info) { i.ColourHint = photo.HintSRGB }, "stated-colours", "sRGB"},
		{"EXIF says the other DCF space", func(i *photo.Info) { i.ColourHint = photo.HintA98 }, "stated-colours", "Adobe RGB (1998)"},
		{"PNG says sRGB in its own way", func(i *photo.Info) { i.Format, i.Stated.SRGB = "PNG", true }, "", "sRGB"},
		{"grey", func(i *photo.Info) { i.Model = photo.Grey }, "no-profile", "Grey"},
		{"CMYK", func(i *photo.Info) { i.Model = photo.CMYK }, "guessed-inks", "CMYK"},
		{"a broken profile", func(i *photo.Info) { i.Profile = []byte("not a profile") }, "profile-unusable", "sRGB"},
		{"a profile for another kind of picture", func(i *photo.Info) { i.Model = photo.Grey; i.Profile = colour.SRGBProfile() }, "profile-mismatch", "Grey"},
		{"its own profile", func(i *photo.Info) { i.Profile = colour.SRGBProfile() }, "", "sRGB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			info := picture(6240, 4160)
			c.change(info)
			p := NewPlan(info, asked(t, "A3", nil))
			if c.code != "" && !has(p, c.code) {
				t.Errorf("cautions %+v lack %q", p.Cautions, c.code)
			}
			if c.code == "" && len(p.Cautions) > 0 {
				t.Errorf("cautions %+v for a picture that needs none", p.Cautions)
			}
			if !strings.Contains(p.Colour.Source, c.source) {
				t.Errorf("source profile %q, want one of %q", p.Colour.Source, c.source)
			}
			if c.code != "" && len(p.Profiles.Output.Bytes) == 0 {
				t.Error("the print would carry no profile")
			}
		})
	}
}

func has(p *Plan, code string) bool {
	for _, c := range p.Cautions {
		if c.Code == code {
			return true
		}
	}
	return false
}

// The files of testdata are plans from records written before recipe and notes were
// separated. A plan still has that form, with nothing lost or added.
func TestAPlanHasTheFormThatItHad(t *testing.T) {
	for _, name := range []string{"plan.json", "refused.json"} {
		text, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		var p Plan
		if err := json.Unmarshal(text, &p); err != nil {
			t.Fatal(err)
		}
		again, err := json.Marshal(&p)
		if err != nil {
			t.Fatal(err)
		}
		var was, is map[string]any
		if err := errors.Join(json.Unmarshal(text, &was), json.Unmarshal(again, &is)); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(was, is) {
			t.Errorf("%s: it was\n%s\nand is\n%s", name, text, again)
		}
	}
}

// The detail of a picture lies in a tenth of its width. A crop that has room for it keeps
// it whole, and one that has none says so.
func TestACropByDetailKeepsTheSubjectOrSaysThatItIsCut(t *testing.T) {
	interest := &detail.Interest{Columns: 20, Rows: 10, Weight: make([]float64, 200)}
	for i := range interest.Weight {
		if x := i % 20; x >= 15 && x < 19 { // from 4500 to 5700 px
			interest.Weight[i] = 1
		}
	}
	for folder, cut := range map[string]int{"50x50cm auto": 0, "20x50cm auto": 0, "8x50cm auto": 1} {
		told := 0
		o, err := NewOrder(folder, config.Default())
		if err != nil {
			t.Fatal(err)
		}
		for _, upright := range []bool{false, true} {
			w, h := 6000, 4000
			if upright { // the size stands, so a narrow one keeps little of the width
				w, h = 6000, 6001
			}
			p := NewPlan(picture(w, h), o).WithMeasurement(Measured{Interest: interest}, o)
			s, crop := p.Cropping.Subject, p.Crop
			if s == nil {
				continue // top and bottom are cut, where the detail goes all the way
			}
			fits := s.Width <= crop.Width
			inside := crop.X <= s.X+1e-6 && crop.X+crop.Width >= s.X+s.Width-1e-6
			if crop.X < 0 || crop.X+crop.Width > float64(w)+1e-6 || fits != inside || fits == has(p, "subject-cut") {
				t.Errorf("%s of %d x %d: crop %+v, subject %+v, cautions %v", folder, w, h, crop, *s, p.Cautions)
			}
			if has(p, "subject-cut") {
				told++
			}
		}
		if told != cut {
			t.Errorf("%s: the subject was cut %d times, want %d", folder, told, cut)
		}
	}
}
