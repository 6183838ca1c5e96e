package config

import "time"

// Config is what sizewright.toml says, checked, with defaults for what it does
// not say.
type Config struct {
	Workers int           // workers that make a print together, 0 to 256; 0 is one per core
	Settle  time.Duration // how long a dropped file must stay unchanged to be whole, 0 to 1h
	Rescan  time.Duration // how often drop folders are looked through without an event, 1s to 24h
	Print   Settings      // for drop folders and stocks of which nothing else is said

	stocks  map[string]*layer // by canonical stock name
	folders map[string]*layer // by canonical folder name
}

// Settings say how the prints of one drop folder are made.
type Settings struct {
	PPI               float64 `json:"ppi"`                 // the printer's input resolution, pixels per inch, 72 to 2880
	Fit               Fit     `json:"fit"`                 // the picture within the size, or the size filled
	Bits              int     `json:"bits"`                // per channel, 8 (dithered) or 16
	Compression       string  `json:"compression"`         // of the TIFF: CompressionDeflate, LZW or None
	ViewingDistanceMM float64 `json:"viewing_distance_mm"` // 100 to 100000; 0 is from the print's diagonal
	MinimumPPI        float64 `json:"minimum_ppi"`         // held below this native resolution, 10 to 2880; 0 is from the viewing distance
	CautionPPI        float64 `json:"caution_ppi"`         // a caution below this native resolution, 10 to 2880; 0 is from the viewing distance
	PreSharpening     float64 `json:"pre_sharpening"`      // amount before enlarging, 0 none to 2
	OutputSharpening  float64 `json:"output_sharpening"`   // amount for paper and ppi, 0 none to 2
}

// Fit says how a picture and a size of different shape come together.
type Fit string

// The ways to fit a picture.
const (
	FitWhole Fit = "whole" // the whole picture within the size
	FitFill  Fit = "fill"  // the size filled, the picture cropped at its centre
)

// The compressions of the TIFF's strips.
const (
	CompressionDeflate = "deflate"
	CompressionLZW     = "lzw"
	CompressionNone    = "none"
)

// Default returns what holds in a studio without sizewright.toml. The values
// for ppi and sharpening are common practice, no source.
func Default() *Config {
	return &Config{
		Workers: 0,
		Settle:  2 * time.Second,
		Rescan:  time.Minute,
		Print: Settings{
			PPI:              360,
			Fit:              FitWhole,
			Bits:             16,
			Compression:      CompressionDeflate,
			PreSharpening:    0.5,
			OutputSharpening: 0.6,
		},
	}
}
