package printsize

import (
	"math"
)

// MMPerInch is the length of an inch in millimetres, exact by the
// international yard and pound agreement of 1959.
const MMPerInch = 25.4

// A Size is the size of a print: the paper that is left when it is trimmed.
// Name is canonical, so that two drop folders of one size have equal names
// whatever their spelling: "A2", "A3+", "24x36in", "50x70cm", "610x914mm".
// Width and height are as written; ISO names are portrait, the short side first.
type Size struct {
	Name     string  `json:"name"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`

	// LongSideOnly is set of a size such as "70cm", which says the long side alone: the
	// picture's shape gives the other. Width and height are then both the long side.
	LongSideOnly bool `json:"long_side_only,omitempty"`
}

// String returns the canonical name.
func (s Size) String() string { return s.Name }

// ShortMM returns the shorter side.
func (s Size) ShortMM() float64 { return math.Min(s.WidthMM, s.HeightMM) }

// LongMM returns the longer side.
func (s Size) LongMM() float64 { return math.Max(s.WidthMM, s.HeightMM) }

// AreaMM2 returns the area in square millimetres.
func (s Size) AreaMM2() float64 { return s.WidthMM * s.HeightMM }

// Fit turns the size the way the picture lies, whichever way it was written:
// the long side goes across for a landscape picture and up for any other.
func (s Size) Fit(landscape bool) (widthMM, heightMM float64) {
	if landscape {
		return s.LongMM(), s.ShortMM()
	}
	return s.ShortMM(), s.LongMM()
}

// Pixels returns the pixels that cover mm millimetres at ppi pixels per inch:
// the nearest whole number, halves up. A length or resolution that is not
// above zero and finite has none.
//
// A half in decimal can fall a hair below a half in binary (24.5 in at 361 ppi
// is 8844.5), so a millionth of a pixel is forgiven: no paper can tell.
func Pixels(mm, ppi float64) int {
	const forgiven = 1e-6
	px := mm * ppi / MMPerInch
	if !(mm > 0 && ppi > 0) || math.IsInf(px, 0) {
		return 0
	}
	return int(math.Floor(px + 0.5 + forgiven))
}
