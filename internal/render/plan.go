package render

import (
	"math"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/sheet"
	"sizewright/internal/tiff"
	"sizewright/internal/version"
)

// Order is what one drop folder asks for one photograph.
type Order struct {
	Folder    string // the drop folder, as its name is written
	Size      printsize.Size
	Stock     string // "" when the folder names none
	Unknown   bool   // the configuration names stocks, and not this one
	Settings  config.Settings
	Output    Output             // the zero value keeps the picture's own profile
	Media     []sheet.Media      // that the print may lie on, the first that it fits; none for the picture alone
	ModeTimes map[string]float64 // how many times as long each print mode takes
	Caption   CaptionWords
}

// NewOrder is what a drop folder of this name asks for, its colours aside: see
// [NewOutput]. The error is the sentence for a folder whose name is no size.
func NewOrder(folder string, c *config.Config) (Order, error) {
	size, stock, err := printsize.Parse(folder)
	if err != nil {
		return Order{}, err
	}
	s := c.Settings(folder, stock)
	return Order{
		Folder: folder, Size: size, Stock: stock, Unknown: c.DoubtsStock(stock),
		Settings: s, Media: c.MediaOf(s), ModeTimes: c.ModeTimes(),
	}, nil
}

// Plan is every decision about one print, before a pixel moves.
type Plan struct {
	Size             PlanSize        `json:"size"`
	Stock            string          `json:"stock,omitempty"`
	Picture          PlanPicture     `json:"picture"`
	Fit              string          `json:"fit"`  // "whole" or "fill"
	Crop             Rect            `json:"crop"` // of the upright picture, source pixels
	Print            PlanPrint       `json:"print"`
	Resolution       Resolution      `json:"resolution"`
	Scale            Scale           `json:"scale"`
	Measured         *Measured       `json:"measured,omitempty"` // of the picture's pixels; nil before
	PreSharpening    Sharpening      `json:"pre_sharpening"`
	ScaleSharpening  Sharpening      `json:"scale_sharpening"`
	OutputSharpening Sharpening      `json:"output_sharpening"`
	Grain            Grain           `json:"grain"`
	Paper            *Paper          `json:"paper,omitempty"` // nil: the file is the picture alone
	Colour           PlanColour      `json:"colour"`
	File             PlanFile        `json:"file"`
	Cautions         []photo.Caution `json:"cautions"`
	Refusal          *Refusal        `json:"refusal,omitempty"` // set: no print is to be made
}

// PlanSize is the size asked for, turned as the picture is.
type PlanSize struct {
	Name     string  `json:"name"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// PlanPicture is the photograph as its header gives it, upright.
type PlanPicture struct {
	Format      string `json:"format"`
	Width       int    `json:"width_px"`
	Height      int    `json:"height_px"`
	Orientation int    `json:"orientation"` // as stored, EXIF 1..8; applied, and 1 in the print
	Model       string `json:"model"`       // grey, rgb or cmyk
	Bits        int    `json:"bits"`
	Subsampling string `json:"chroma_subsampling,omitempty"` // of a JPEG, as "4:2:0"
}

// Rect is a rectangle in source pixels; its edges may fall inside a pixel.
type Rect struct {
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
}

// PlanPrint is the print's exact extent.
type PlanPrint struct {
	Width    int     `json:"width_px"`
	Height   int     `json:"height_px"`
	PPI      float64 `json:"ppi"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// Scale is how the crop becomes the print.
type Scale struct {
	X            float64 `json:"x"` // print pixels for one source pixel
	Y            float64 `json:"y"`
	Kernel       string  `json:"kernel"`               // "none" when every pixel is kept as it is
	ChromaKernel string  `json:"chroma_kernel"`        // of the differences from luma
	Aperture     float64 `json:"aperture"`             // share of the second difference that the kernel takes off luma, see Kernel.apertured
	Light        string  `json:"light"`                // "linear" or "encoded": what is averaged
	Curve        float64 `json:"curve"`                // of the sigmoid around encoded luma, 0 none to 1
	HaloLimit    bool    `json:"halo_limit"`           // results kept near the four source samples around them where they would ring
	HaloReach    float64 `json:"halo_reach,omitempty"` // how far beyond those they may lie at a crest, in second differences, see haloReach
}

// PlanFile is the form of the file.
type PlanFile struct {
	Bits        int    `json:"bits"`
	Dither      bool   `json:"dither"`
	Compression string `json:"compression"`
	BandRows    int    `json:"rows_per_strip"`
	MaxBytes    int64  `json:"max_bytes"` // no print of this plan is larger
}

// Refusal is why no print is made.
type Refusal struct {
	hold.Hold
	// The largest print this picture would carry here, in mm, and the
	// largest standard size that stays within it, "" for none.
	WidthMM  float64 `json:"largest_width_mm"`
	HeightMM float64 `json:"largest_height_mm"`
	Size     string  `json:"largest_size,omitempty"`
}

// NewPlan decides about one print all that the picture says of itself, and touches
// no pixel. By the header alone ([photo.Identify]) it tells what is refused without
// decoding; the plan of a print is made of the decoded picture's Info, which has
// cautions that no header gives away. What hangs on the pixels themselves is left
// to [Plan.WithMeasurement]. The same arguments give the same plan.
func NewPlan(info *photo.Info, o Order) *Plan {
	p := &Plan{
		Stock: o.Stock,
		Fit:   string(o.Settings.Fit),
		Picture: PlanPicture{
			Format: info.Format, Width: info.Width, Height: info.Height,
			Orientation: info.Orientation, Model: string(info.Model), Bits: info.Bits,
			Subsampling: info.Subsampling,
		},
		Cautions: append([]photo.Caution{}, info.Cautions...),
	}
	p.place(o)
	p.scale(o.Settings)
	p.resolution(o.Settings)
	p.sharpening(o.Settings)
	p.grain(o.Settings)
	p.paper(o)
	p.colour(info, o)
	p.file(info, o)
	if o.Unknown {
		p.caution(unknownStock, "no [stock.%q] in sizewright.toml, so %q was made with the settings for any paper", o.Stock, o.Folder)
	}
	return p
}

var unknownStock = caution.New("unknown-stock", caution.NeedsYou,
	"Check the drop folder\u2019s name. If the paper is a new one, add it to sizewright.toml.")

func (p *Plan) caution(k caution.Kind, format string, args ...any) {
	p.Cautions = append(p.Cautions, k.Say(format, args...))
}

// place settles the size, the crop and the exact pixels. The side that meets
// the size has the size's own pixels; the other follows the picture's shape.
func (p *Plan) place(o Order) {
	w, h := float64(p.Picture.Width), float64(p.Picture.Height)
	wMM, hMM := o.Size.Fit(w > h)
	ppi := o.Settings.PPI
	p.Size = PlanSize{Name: o.Size.Name, WidthMM: wMM, HeightMM: hMM}
	p.Crop = Rect{Width: w, Height: h}
	pw, ph := printsize.Pixels(wMM, ppi), printsize.Pixels(hMM, ppi)
	wider := w*hMM > h*wMM // than the size
	switch {
	case o.Settings.Fit == config.FitFill && wider:
		p.Crop.Width = min(w, h*float64(pw)/float64(ph))
		p.Crop.X = (w - p.Crop.Width) / 2
	case o.Settings.Fit == config.FitFill:
		p.Crop.Height = min(h, w*float64(ph)/float64(pw))
		p.Crop.Y = (h - p.Crop.Height) / 2
	case wider:
		ph = max(1, min(ph, printsize.Pixels(wMM*h/w, ppi)))
	default:
		pw = max(1, min(pw, printsize.Pixels(hMM*w/h, ppi)))
	}
	p.Print = PlanPrint{
		Width: pw, Height: ph, PPI: ppi,
		WidthMM:  round(float64(pw)*printsize.MMPerInch/ppi, 3),
		HeightMM: round(float64(ph)*printsize.MMPerInch/ppi, 3),
	}
}

// scale settles the resampling. Reducing averages light, so it is done in
// linear light, each colour alike. Enlarging there makes the dark side of a halo
// far more visible than the light side; encoded values are closer to even steps for
// the eye (ImageMagick's examples, "Resampling Filters", A. Thyssen and N.
// Robidoux), and a sigmoid around them and the halo limit take what is left.
func (p *Plan) scale(set config.Settings) {
	s := Scale{
		X:      float64(p.Print.Width) / p.Crop.Width,
		Y:      float64(p.Print.Height) / p.Crop.Height,
		Kernel: set.Kernel, ChromaKernel: chromaKernel,
		Light: "encoded",
	}
	switch {
	case s.X == 1 && s.Y == 1 && p.Crop.X == math.Floor(p.Crop.X) && p.Crop.Y == math.Floor(p.Crop.Y):
		s.Kernel = asIs.Name
		if p.Picture.Subsampling == "" {
			s.ChromaKernel = asIs.Name
		}
	case s.X < 1 || s.Y < 1:
		s.Light, s.ChromaKernel = "linear", s.Kernel
	default:
		s.Aperture, s.Curve, s.HaloLimit, s.HaloReach = pixelAperture, scaleCurve, true, haloReach
	}
	p.Scale = s
}

// kernel is that of luma.
func (s Scale) kernel() Kernel {
	k := kernelNamed(s.Kernel)
	if s.Aperture == 0 {
		return k
	}
	return k.apertured(s.Aperture)
}

const (
	// chromaKernel: the eye sees colour at a third of the detail of lightness
	// (common practice, no source), so its differences take a shorter kernel, which
	// overshoots less. A JPEG's coarse chroma goes from its own grid to the print's at
	// once: to be refined first and enlarged then would soften it twice.
	chromaKernel  = "catmull-rom"
	pixelAperture = 1. / 24
	scaleCurve    = 0.6 // measured with scripts/quality.sh: more is better in PSNR and overshoot up to here, and little after
)

// enlarges is the larger of the two scales: they differ by less than a pixel
// over the print's side.
func (p *Plan) enlarges() float64 { return max(p.Scale.X, p.Scale.Y) }

// A band is bounded in print pixels and in source pixels, so that memory stays
// flat as prints grow wider and as reductions grow stronger.
const (
	bandPixels   = 1 << 20
	sourcePixels = 1 << 19
)

// bands settles how many rows a band has, which is a strip of the file.
func (p *Plan) bands() {
	width, _ := p.Extent()
	rows := min(float64(bandPixels)/float64(width), sourcePixels*p.Scale.Y/float64(p.Picture.Width))
	p.File.BandRows = min(max(int(rows)/8*8, 8), 128)
}

func (p *Plan) file(info *photo.Info, o Order) {
	p.File = PlanFile{Bits: o.Settings.Bits, Dither: o.Settings.Bits == 8, Compression: o.Settings.Compression}
	p.bands()
	h, err := p.Header(info, o)
	if err == nil {
		p.File.MaxBytes = h.MaxBytes()
	}
}

// Header is the print's TIFF header: the plan's pixels, the profile the plan
// settled on, and the photographer's own words.
func (p *Plan) Header(info *photo.Info, o Order) (tiff.Header, error) {
	ppi := tiff.RationalPPI(p.Print.PPI)
	compression, err := tiff.ParseCompression(p.File.Compression)
	if err != nil {
		return tiff.Header{}, err
	}
	width, height := p.Extent()
	photometric := map[string]tiff.Photometric{"grey": tiff.Grey, "rgb": tiff.RGB, "cmyk": tiff.CMYK}[p.Colour.Model]
	return tiff.Header{
		Width: width, Height: height, Bits: p.File.Bits,
		Photometric: photometric, RowsPerStrip: p.File.BandRows, Compression: compression,
		PPI: ppi, Profile: outputProfile(info, o.Output).Bytes,
		Make: info.EXIF.Make, Model: info.EXIF.Camera,
		Artist: info.EXIF.Artist, Copyright: info.EXIF.Copyright,
		DateTimeOriginal: info.EXIF.DateTimeOriginal,
		Software:         version.Software(),
	}, nil
}

func round(v float64, places int) float64 {
	s := math.Pow10(places)
	return math.Round(v*s) / s
}
