package config

import (
	"time"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/sheet"
	"sizewright/internal/surface"
)

// Config is what sizewright.toml says, checked, with defaults for what it does
// not say.
type Config struct {
	Cores   int           // cores that make a print together, 0 to 256; 0 is all
	Settle  time.Duration // how long a dropped file must stay unchanged to be whole, 0 to 1h
	Rescan  time.Duration // how often drop folders are looked through without an event, 1s to 24h
	Stalled time.Duration // how long a file may be steady and yet not whole before the report names it, 1m to 24h

	Between  Hours // the hours in which orders are begun; the zero Hours are the whole day
	Keep     int   // days that the TIFFs of printed prints stay, 1 to 36500; 0 is for ever
	KeepFree int   // MiB of the studio's disk that no print may take, 0 to 10485760

	Machines Machines // the server over which other machines make prints

	Limits photo.Limits // what one file may ask of this machine, [limits]
	EndsAt int          // the hour at which a night ends and its report's date changes, 0 to 23; 0 is midnight
	Units  string       // that reports give sizes in: "mm", "in" or "both"
	Print  Settings     // what [print] says over the defaults; Settings("", "") is how such prints are made

	// Warnings keep no file from being used: keys of earlier versions, and settings that
	// do nothing or spoil paper. They are in the order of the file.
	Warnings Problems

	media     map[string]*sheet.Media // by name
	modeTimes map[string]float64      // by the mode's name
	stocks    map[string]*layer       // by canonical stock name
	folders   map[printed]*layer
	files     []NamedFile // in the order of the file
}

// Machines says how the server is reached that other machines get orders from.
type Machines struct {
	NATS        string // its address, such as nats://host:4222; "" for none
	Credentials string // path of a credentials file, as written; "" for none
	CA          string // path of the certificates that sign the server's, as written; "" for the system's
}

// Settings say how the prints of one drop folder are made.
type Settings struct {
	PPI               float64  `json:"ppi"`                 // the printer's input resolution, pixels per inch, 72 to 2880
	Fit               Fit      `json:"fit"`                 // the picture within the size, or the size filled
	Crop              string   `json:"crop"`                // where the picture is cropped, one of printsize.Crops
	Copies            int      `json:"copies"`              // how often the file is to be printed, 1 to 999
	Edition           int      `json:"edition"`             // how many prints the edition has, 1 to 9999; 0 is none
	Label             bool     `json:"label"`               // a label for the back is drawn beside the print
	Bits              int      `json:"bits"`                // per channel, 8 (dithered) or 16
	Compression       string   `json:"compression"`         // of the TIFF: CompressionDeflate, LZW or None
	ViewingDistanceMM float64  `json:"viewing_distance_mm"` // 100 to 100000; 0 is from the print's diagonal
	TooSmall          TooSmall `json:"too_small"`           // what becomes of a picture that is too small for the print
	MinimumPPI        float64  `json:"minimum_ppi"`         // too small with fewer pixels an inch that carry picture, 10 to 2880; 0 is from the print's size
	Acuity            float64  `json:"acuity"`              // of the viewer, decimal: 1 resolves one minute of arc, 0.25 to 3
	CautionPPI        float64  `json:"caution_ppi"`         // a caution with fewer, 10 to 2880; 0 is from the print's size

	// Pixels; internal/render has the model behind each.
	Kernel           string  `json:"kernel"`            // one of Kernels
	Enlarge          string  `json:"enlarge"`           // EnlargeKernel or EnlargeLearned
	Surface          string  `json:"surface"`           // of the paper, by its name in package surface
	PreSharpening    float64 `json:"pre_sharpening"`    // before enlarging: 0 none, 1 as measured, to 2
	BlurPX           float64 `json:"blur_px"`           // the picture's softness, sigma in its pixels, 0.3 to 3; 0 is measured
	OutputSharpening float64 `json:"output_sharpening"` // for the paper: 0 none, 1 as its surface asks, to 2
	Grain            float64 `json:"grain"`             // standard deviation in steps of lightness L*, 0 none to 5

	// Paper; internal/sheet has what each does. Without a media the print is the
	// picture alone.
	Media         string  `json:"media"`            // names of media, the first that fits is taken; MediaSeparator between
	Mode          string  `json:"mode"`             // of the media's print modes; "" is none
	Placement     string  `json:"placement"`        // centred on the "sheet" or its "printable" area
	Raise         float64 `json:"raise"`            // share of the free height, 0 to 0.1
	Border        string  `json:"border"`           // "none", "even", "bottom-weighted", "outer" or "mat"
	BorderMM      float64 `json:"border_mm"`        // of an even or bottom-weighted border
	BorderBottom  float64 `json:"border_bottom_mm"` // 0 is a quarter more
	OuterWidthMM  float64 `json:"outer_width_mm"`   // of the trimmed print, or of a mat's opening
	OuterHeightMM float64 `json:"outer_height_mm"`  //
	OverlapMM     float64 `json:"overlap_mm"`       // behind a mat, each side
	Bleed         string  `json:"bleed"`            // "reflect", "replicate" or "stretch"
	BleedMM       float64 `json:"bleed_mm"`         //
	WrapMM        float64 `json:"wrap_mm"`          // depth of a gallery wrap's sides
	Pack          bool    `json:"pack"`             // the night's prints for one roll are packed onto it
	PackFile      bool    `json:"pack_file"`        // each packed run is a file too
	MayTurn       bool    `json:"may_turn"`         // a packed print may be turned a quarter
	GapMM         float64 `json:"gap_mm"`           // between packed prints
	LaneMM        float64 `json:"lane_mm"`          // beside them
	TrimMarks     bool    `json:"trim_marks"`       //
	Caption       string  `json:"caption"`          // with {name}, {title}, {artist}, {size}, {stock}, {date}, {edition}; "" is none
	CaptionMM     float64 `json:"caption_mm"`       // height of its line
	CaptionFont   string  `json:"caption_font"`     // path of its font, as written; "" is the built-in one
	PricePerM2    float64 `json:"price_per_m2"`     // of the paper; 0 is not known
	PricePerMetre float64 `json:"price_per_metre"`  // of a roll
	PricePerSheet float64 `json:"price_per_sheet"`  //
	Currency      string  `json:"currency"`         // as it is shown
	M2PerHour     float64 `json:"pace_m2_per_hour"` // of the printer; 0 is not known

	// Colour; see [Config.Settings] for how these keys get along.
	Profile                string        `json:"profile"` // path of an output profile, as written; "" is none
	Intent                 colour.Intent `json:"intent"`
	BlackPointCompensation bool          `json:"black_point_compensation"` // the picture's black becomes the paper's
	WorkingSpace           string        `json:"working_space"`            // srgb, a98 or romm without a profile; "" is the picture's own
	StrictProfile          bool          `json:"strict_profile"`           // a picture is held whose profile, or what else it says of its colours, is broken
	GamutCautionDeltaE     float64       `json:"gamut_caution_delta_e"`    // a place misses when further off, CIEDE2000: 1, 3 or 6
	GamutCautionShare      float64       `json:"gamut_caution_share"`      // a caution when a larger share of the picture is seen to, 0 to 1
}

// Fit says how a picture and a size of different shape come together.
type Fit string

// The ways to fit a picture.
const (
	FitWhole Fit = "whole" // the whole picture within the size
	FitFill  Fit = "fill"  // the size filled, the picture cropped
)

// The compressions of the TIFF's strips.
const (
	CompressionDeflate = "deflate"
	CompressionLZW     = "lzw"
	CompressionNone    = "none"
)

// TooSmall says what becomes of a picture that is too small for the print.
type TooSmall string

// What may become of it.
const (
	TooSmallHold    TooSmall = "hold"
	TooSmallLargest TooSmall = "largest" // made as large as it carries, on the same paper
	TooSmallMake    TooSmall = "make"
)

// What makes an enlargement: the kernel alone, or the kernel and what a network predicts.
const (
	EnlargeKernel  = "kernel"
	EnlargeLearned = "learned"
)

// Kernels are the resampling kernels by name, from sharp to soft.
var Kernels = []string{"lanczos4", "lanczos3", "lanczos2", "kaiser3", "blackman3", "catmull-rom", "keys6", "robidoux", "mitchell", "b-spline"}

// Default returns what holds in a studio without sizewright.toml. The values
// for ppi and sharpening are common practice, no source.
//
// A colour misses beyond 3 CIEDE2000. W. Mokrzycki and M. Tatol, "Color
// difference Delta E: a survey", Machine Graphics and Vision 20 (2011): 1 to 2
// is seen by a trained eye, 2 to 3.5 by an untrained one too, above 3.5 is
// clear (from memory). That a hundredth of the picture deserves a caution is
// common practice, no source.
func Default() *Config {
	return &Config{
		Cores:   0,
		Settle:  2 * time.Second,
		Rescan:  time.Minute,
		Stalled: 30 * time.Minute,

		KeepFree: 1024,

		Limits: photo.DefaultLimits(),
		Units:  "both",

		media: map[string]*sheet.Media{}, modeTimes: map[string]float64{}, stocks: map[string]*layer{}, folders: map[printed]*layer{},
		Print: Settings{
			PPI:         360,
			Fit:         FitWhole,
			Crop:        printsize.CropCentre,
			Copies:      1,
			Bits:        16,
			Compression: CompressionDeflate,

			TooSmall: TooSmallHold,
			Acuity:   1,

			Kernel:           "lanczos3",
			Enlarge:          EnlargeKernel,
			Surface:          surface.Default,
			PreSharpening:    1,
			OutputSharpening: 1,

			Placement: string(sheet.OnSheet),
			Border:    string(sheet.NoBorder),
			Bleed:     string(sheet.Reflect),
			CaptionMM: 3,
			GapMM:     5,
			MayTurn:   true,

			Intent:                 colour.Relative,
			BlackPointCompensation: true,
			GamutCautionDeltaE:     6,
			GamutCautionShare:      0.03,
		},
	}
}
