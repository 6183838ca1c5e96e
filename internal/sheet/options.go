package sheet

import "cmp"

// Placement is what a print is centred on.
type Placement string

const (
	OnSheet     Placement = "sheet"     // the paper's own centre
	OnPrintable Placement = "printable" // the printable area's
)

// BorderKind is how white lies around a picture.
type BorderKind string

const (
	NoBorder       BorderKind = "none"
	Even           BorderKind = "even"            // MM on every side
	BottomWeighted BorderKind = "bottom-weighted" // MM, and BottomMM below
	Outer          BorderKind = "outer"           // what makes up an outer size
	Mat            BorderKind = "mat"             // what makes up a mat's opening, and OverlapMM behind the mat
)

// Border is the white around a picture. Outer sizes are as one looks at the upright
// picture.
type Border struct {
	Kind          BorderKind `json:"kind"`
	MM            float64    `json:"mm,omitempty"`
	BottomMM      float64    `json:"bottom_mm,omitempty"`       // 0 is a quarter more than MM
	OuterWidthMM  float64    `json:"outer_width_mm,omitempty"`  // of the trimmed print, or of the mat's opening
	OuterHeightMM float64    `json:"outer_height_mm,omitempty"` //
	OverlapMM     float64    `json:"overlap_mm,omitempty"`      // hidden behind the mat on each side
}

// BleedWay is what a bleed is made of. No picture is lost in any: the picture stays
// as it is, and its edges go on outside it.
type BleedWay string

const (
	Reflect   BleedWay = "reflect"   // the picture again, reflected at its edge
	Stretch   BleedWay = "stretch"   // its outermost strip, stretched
	Replicate BleedWay = "replicate" // its outermost row or column
)

// formerWays are the names of earlier versions, which their records have.
var formerWays = map[string]BleedWay{"mirror": Reflect, "extend": Replicate}

// UnmarshalText reads a way by its name, or by its former one.
func (b *BleedWay) UnmarshalText(text []byte) error {
	*b = cmp.Or(formerWays[string(text)], BleedWay(text))
	return nil
}

// stretchTimes is how often a stretched strip is longer than it was: house
// practice. The strip stays close to the edge, and yet does not become bars.
const stretchTimes = 4

// Inside tells which of the picture's pixels stands outside it: out counts pixels
// outwards from the edge, the answer inwards, both from 0.
func (b BleedWay) Inside(out int) int {
	switch b {
	case Reflect:
		return out
	case Stretch:
		return out / stretchTimes
	}
	return 0
}

// Options is how a print is to lie on its paper. The zero value is a picture alone,
// centred on the sheet.
type Options struct {
	Mode      string    `json:"mode,omitempty"` // one of the media's, or ""
	Placement Placement `json:"placement,omitempty"`

	// RaiseShare lifts the picture by this share of the free height, 0 to 0.1: to the
	// eye the centre is a little above the middle (common practice, no source). In an
	// outer size or a mat it is their free height; else the sheet's, unless the print is
	// trimmed and so where it lies will not be seen.
	RaiseShare float64 `json:"raise_share,omitempty"`

	Border  Border   `json:"border"`
	BleedMM float64  `json:"bleed_mm,omitempty"`
	Bleed   BleedWay `json:"bleed,omitempty"` // "" is Reflect

	// WrapMM is the depth of the sides of a gallery wrap: the picture reflected, to be
	// folded back around the bars. A bleed then lies beyond it, reflected too.
	WrapMM float64 `json:"wrap_mm,omitempty"`

	TrimMarks    bool    `json:"trim_marks,omitempty"`     // with them, marks for the folds of a wrap
	MarkLengthMM float64 `json:"mark_length_mm,omitempty"` // 0 is 5
	MarkGapMM    float64 `json:"mark_gap_mm,omitempty"`    // from the trimmed edge, never less than the bleed; 0 is 2 more than the bleed

	Caption         string  `json:"caption,omitempty"`           // "" is none
	CaptionHeightMM float64 `json:"caption_height_mm,omitempty"` // of its line; 0 is 3
}

// Lengths where nothing is said. Common practice, no source.
const (
	usualMarkMM    = 5
	usualGapMM     = 2
	usualCaptionMM = 3
	bottomTimes    = 1.25
)

// settled puts what is usual in place of what is not said.
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

// trims tells whether the print is cut to its outer size after printing.
func (o Options) trims() bool {
	return o.TrimMarks || o.BleedMM > 0 || o.WrapMM > 0 || o.Border.Kind == Outer || o.Border.Kind == Mat
}

// borderless tells whether the picture, or its wrap, is to reach the trimmed edge.
func (o Options) borderless() bool { return o.Border.Kind == NoBorder }
