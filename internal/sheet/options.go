package sheet

import "cmp"

// Placement is what a print is centred on.
type Placement string

const (
	OnSheet     Placement = "sheet"     // the centre of the paper
	OnPrintable Placement = "printable" // the centre of the printable area
)

// BorderKind is the form of the white around a picture.
type BorderKind string

const (
	NoBorder       BorderKind = "none"
	Even           BorderKind = "even"            // MM on every side
	BottomWeighted BorderKind = "bottom-weighted" // MM at three sides, BottomMM below
	Outer          BorderKind = "outer"           // fills up an outer size
	Mat            BorderKind = "mat"             // fills up a mat's opening, plus OverlapMM behind the mat
)

// Border is the white around a picture. Outer sizes are those of the upright picture.
type Border struct {
	Kind          BorderKind `json:"kind"`
	MM            float64    `json:"mm,omitempty"`
	BottomMM      float64    `json:"bottom_mm,omitempty"`       // 0: a quarter more than MM
	OuterWidthMM  float64    `json:"outer_width_mm,omitempty"`  // of the trimmed print, or of the mat's opening
	OuterHeightMM float64    `json:"outer_height_mm,omitempty"` //
	OverlapMM     float64    `json:"overlap_mm,omitempty"`      // hidden behind the mat on each side
}

// BleedWay is how a bleed is made. None of them crops the picture: it stays as it is, and
// its edges continue outside it.
type BleedWay string

const (
	Reflect   BleedWay = "reflect"   // the picture reflected at its edge
	Stretch   BleedWay = "stretch"   // its outermost strip, stretched
	Replicate BleedWay = "replicate" // its outermost row or column, repeated
)

// formerWays are the names in records of earlier versions.
var formerWays = map[string]BleedWay{"mirror": Reflect, "extend": Replicate}

// UnmarshalText reads a way by its name or by its former name.
func (b *BleedWay) UnmarshalText(text []byte) error {
	*b = cmp.Or(formerWays[string(text)], BleedWay(text))
	return nil
}

// stretchTimes is how many times longer a stretched strip becomes (house judgement). The
// strip stays near the edge without turning into bars.
const stretchTimes = 4

// Inside returns which of the picture's pixels is shown at a pixel outside it. out counts
// pixels outwards from the edge, the result counts inwards, both from 0.
func (b BleedWay) Inside(out int) int {
	switch b {
	case Reflect:
		return out
	case Stretch:
		return out / stretchTimes
	}
	return 0
}

// Options say how a print is to lie on its paper. The zero value is a picture without
// anything around it, centred on the sheet.
type Options struct {
	Mode      string    `json:"mode,omitempty"` // a mode of the media, or ""
	Placement Placement `json:"placement,omitempty"`

	// RaiseShare raises the picture by this share of the free height, 0 to 0.1, because
	// the eye sees the centre a little above the middle (common practice, no source).
	// The free height is that of an outer size or a mat, otherwise of the sheet. A print
	// that is trimmed is not raised on the sheet, where its position does not show.
	RaiseShare float64 `json:"raise_share,omitempty"`

	Border  Border   `json:"border"`
	BleedMM float64  `json:"bleed_mm,omitempty"`
	Bleed   BleedWay `json:"bleed,omitempty"` // "": Reflect

	// WrapMM is the depth of the sides of a gallery wrap: the picture reflected, to be
	// folded around the stretcher bars. A bleed is then outside it, reflected too.
	WrapMM float64 `json:"wrap_mm,omitempty"`

	TrimMarks    bool    `json:"trim_marks,omitempty"`     // also marks for the folds of a wrap
	MarkLengthMM float64 `json:"mark_length_mm,omitempty"` // 0: 5
	MarkGapMM    float64 `json:"mark_gap_mm,omitempty"`    // from the trimmed edge, never less than the bleed; 0: 2 more than the bleed

	Caption         string  `json:"caption,omitempty"`           // "": none
	CaptionHeightMM float64 `json:"caption_height_mm,omitempty"` // of its line; 0: 3
}

// Default lengths, in mm (common practice, no source).
const (
	usualMarkMM    = 5
	usualGapMM     = 2
	usualCaptionMM = 3
	bottomTimes    = 1.25
)

// settled fills in the defaults.
func (o Options) settled() Options {
	o.Placement = cmp.Or(o.Placement, OnSheet)
	o.Border.Kind = cmp.Or(o.Border.Kind, NoBorder)
	if o.Border.Kind == BottomWeighted {
		o.Border.BottomMM = cmp.Or(o.Border.BottomMM, bottomTimes*o.Border.MM)
	}
	o.Bleed = cmp.Or(o.Bleed, Reflect)
	if o.WrapMM > 0 {
		o.Bleed = Reflect
	}
	o.MarkLengthMM = cmp.Or(o.MarkLengthMM, usualMarkMM)
	o.MarkGapMM = max(cmp.Or(o.MarkGapMM, o.BleedMM+usualGapMM), o.BleedMM)
	o.CaptionHeightMM = cmp.Or(o.CaptionHeightMM, usualCaptionMM)
	return o
}

// trims reports whether the print is cut to its outer size after printing.
func (o Options) trims() bool {
	return o.TrimMarks || o.BleedMM > 0 || o.WrapMM > 0 || o.Border.Kind == Outer || o.Border.Kind == Mat
}

// borderless reports whether the picture, or its wrap, reaches the trimmed edge.
func (o Options) borderless() bool { return o.Border.Kind == NoBorder }
