package render

import (
	"fmt"

	"sizewright/internal/caption"
	"sizewright/internal/colour"
	"sizewright/internal/photo"
	"sizewright/internal/sheet"
	"sizewright/internal/tiff"
	"sizewright/internal/version"
)

// RecipeVersion is the version of how settings become pixels. It goes up by one with
// every change to what a print looks like. A file that is dropped again is then printed
// again, with a caution, and CHANGELOG.md says so.
const RecipeVersion = 1

// Recipe holds every number that makes a print's pixels and the form of its file, and
// the caption's words. It is a plain value that can be stored as JSON. With the same
// source and the same [Profiles] it makes the same bytes anywhere.
type Recipe struct {
	Version          int        `json:"version"` // [RecipeVersion] of the program that made it
	Picture          Picture    `json:"picture"`
	Crop             Rect       `json:"crop"`
	Print            Print      `json:"print"`
	Scale            Scale      `json:"scale"`
	PreSharpening    Sharpening `json:"pre_sharpening"`
	ScaleSharpening  Sharpening `json:"scale_sharpening"`
	OutputSharpening Sharpening `json:"output_sharpening"`
	Grain            Grain      `json:"grain"`
	Paper            *Paper     `json:"paper,omitempty"` // nil: the file holds only the picture
	Colour           Colour     `json:"colour"`
	File             File       `json:"file"`
}

// Picture is the size of the upright source, in px.
type Picture struct {
	Width  int `json:"width_px"`
	Height int `json:"height_px"`
}

// Rect is a rectangle in source pixels; its edges may fall inside a pixel.
type Rect struct {
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
}

// Print is the size of the picture in the print.
type Print struct {
	Width  int     `json:"width_px"`
	Height int     `json:"height_px"`
	PPI    float64 `json:"ppi"`
}

// Scale says how the crop becomes the print.
type Scale struct {
	X            float64 `json:"x"` // print pixels for one source pixel
	Y            float64 `json:"y"`
	Kernel       string  `json:"kernel"`               // [KeepPixels] if no pixel changes
	ChromaKernel string  `json:"chroma_kernel"`        // for the differences from luma
	Aperture     float64 `json:"aperture"`             // share of the second difference that the kernel subtracts from luma, see Kernel.apertured
	Light        string  `json:"light"`                // "linear" or "encoded": what is averaged
	Curve        float64 `json:"curve"`                // of the sigmoid around encoded luma: 0 (none) to 1
	HaloLimit    bool    `json:"halo_limit"`           // keep results near the four source samples around them where they would ring
	HaloReach    float64 `json:"halo_reach,omitempty"` // how far beyond those they may lie at a crest, in second differences; see [HaloReach]
	Learned      Learned `json:"learned,omitzero"`     // what a network adds to luma; zero for nothing
}

// Learned says what a network adds to an enlargement's luma.
type Learned struct {
	Weights string  `json:"weights_sha256"`
	Share   float64 `json:"share"` // of the residual that the network predicts, above 0 to 1; see [Trial]
}

// Paper is the raster of a file that holds more than the picture, in px, and what is
// around the picture.
type Paper struct {
	Width   int               `json:"width_px"`
	Height  int               `json:"height_px"`
	Picture sheet.PixelRect   `json:"picture"`
	Ink     sheet.PixelRect   `json:"ink"` // the picture with its wrap and bleed
	Bleed   sheet.BleedWay    `json:"bleed,omitempty"`
	Marks   []sheet.PixelRect `json:"marks,omitempty"`
	Caption *Caption          `json:"caption,omitempty"` // nil for none
}

// Caption is a line of text, centred in its place.
type Caption struct {
	Text  string          `json:"text"`                  // with its placeholders filled in
	Font  string          `json:"font_sha256,omitempty"` // "" for the built-in one
	Place sheet.PixelRect `json:"place"`
}

// Colour says what happens to the picture's colours.
type Colour struct {
	Conversion string        `json:"conversion"`    // [KeepColours], [ToSRGB], or a name of the caller
	Digest     string        `json:"output_sha256"` // SHA-256 of the print's profile
	Model      string        `json:"model"`         // of the print: grey, rgb or cmyk
	Intent     colour.Intent `json:"intent,omitempty"`
	BlackPoint bool          `json:"black_point_compensation"`
}

// The conversions that this package names; other names are the caller's.
const (
	KeepColours = "none"
	ToSRGB      = "srgb"
)

// File is the form of the file.
type File struct {
	Bits        int    `json:"bits"`
	Compression string `json:"compression"`
	BandRows    int    `json:"rows_per_strip"`
}

// Profiles are the ICC profiles of a recipe, and the face of its caption.
type Profiles struct {
	Source *colour.Profile // of the picture; nil: CMYK by plain arithmetic
	Output *colour.Profile // of the print; the source's if nothing is converted
	Face   *caption.Face   // nil for the built-in one
}

// Extent returns the size of the file in px: of the sheet, or of the picture alone.
func (r *Recipe) Extent() (width, height int) {
	if r.Paper == nil {
		return r.Print.Width, r.Print.Height
	}
	return r.Paper.Width, r.Paper.Height
}

// Header returns the print's TIFF header, with the print's profile and the EXIF entries
// of the photographer.
func (r *Recipe) Header(info *photo.Info, p Profiles) (tiff.Header, error) {
	compression, err := tiff.ParseCompression(r.File.Compression)
	if err != nil {
		return tiff.Header{}, err
	}
	width, height := r.Extent()
	ppi := tiff.RationalPPI(r.Print.PPI)
	photometric := map[string]tiff.Photometric{"grey": tiff.Grey, "rgb": tiff.RGB, "cmyk": tiff.CMYK}[r.Colour.Model]
	return tiff.Header{
		Width: width, Height: height, Bits: r.File.Bits,
		Photometric: photometric, RowsPerStrip: r.File.BandRows, Compression: compression,
		PPI: ppi, Profile: p.Output.Bytes,
		Make: info.EXIF.Make, Model: info.EXIF.Camera,
		Artist: info.Artist(), Copyright: info.Copyright(), Description: info.Words.Description,
		XMP: info.Words.Packet(photo.Printed{Width: width, Height: height, PPI: fmt.Sprintf("%d/%d", ppi.Num, ppi.Den),
			Software: version.Software(), Profile: p.Output.Name}),
		DateTimeOriginal: info.EXIF.DateTimeOriginal,
		Software:         version.Software(),
	}, nil
}

// fits returns an error if the recipe is for another program version, picture, profile or
// font.
func (r *Recipe) fits(src *photo.Photo, p Profiles) error {
	switch {
	case r.Version != RecipeVersion:
		return fmt.Errorf("render: the recipe has version %d, but this program makes prints of version %d", r.Version, RecipeVersion)
	case src.Width != r.Picture.Width || src.Height != r.Picture.Height:
		return fmt.Errorf("render: the recipe is for a picture of %d x %d px, not %d x %d", r.Picture.Width, r.Picture.Height, src.Width, src.Height)
	case p.Output == nil || r.Colour.Digest != p.Output.Digest():
		return fmt.Errorf("render: the recipe is for another output profile, whose SHA-256 is %s", r.Colour.Digest)
	case r.Paper != nil && r.Paper.Caption != nil && r.Paper.Caption.Font != p.Face.Digest():
		return fmt.Errorf("render: the recipe is for a caption in another font, whose SHA-256 is %q", r.Paper.Caption.Font)
	}
	return nil
}
