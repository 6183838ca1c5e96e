package colour

import (
	"math"
	"slices"
)

// Gamut is how far a picture's colours lie outside what a profile can hold:
// each colour is taken to the profile and back, media-relative colorimetric,
// and what was asked is compared with what was got by CIEDE2000.
type Gamut struct {
	Profile  string      `json:"profile"`         // by its description
	Measured int         `json:"pixels_measured"` // an even lattice over the picture
	Beyond1  float64     `json:"share_beyond_1"`  // share of pixels, 0..1, that miss by more than 1 CIEDE2000
	Beyond3  float64     `json:"share_beyond_3"`  // by more than 3
	Beyond6  float64     `json:"share_beyond_6"`  // by more than 6
	Blacks   Blacks      `json:"of_these_blacks"`
	Median   float64     `json:"median_of_misses"` // CIEDE2000 of the pixels beyond 1; 0 if none
	P95      float64     `json:"p95_of_misses"`
	Max      float64     `json:"max"`
	Regions  []Region    `json:"regions"`        // the worst few, worst first
	Spaces   []SpaceLoss `json:"working_spaces"` // what the standard working spaces would lose of this picture
}

// Blacks are the misses that are only dark: colours darker than the profile's
// black that come out lighter and no different in chroma or hue. No ink can do
// otherwise, and black point compensation keeps what is told apart in them.
type Blacks struct {
	Beyond1 float64 `json:"share_beyond_1"`
	Beyond3 float64 `json:"share_beyond_3"`
	Beyond6 float64 `json:"share_beyond_6"`
}

// Region is a part of the picture that misses.
type Region struct {
	X      int     `json:"x_px"` // of the upright source picture
	Y      int     `json:"y_px"`
	Width  int     `json:"width_px"`
	Height int     `json:"height_px"`
	Share  float64 `json:"share"`   // of the picture's pixels, 0..1
	DeltaE float64 `json:"delta_e"` // mean CIEDE2000
	Asked  Lab     `json:"asked_lab"`
	Got    Lab     `json:"got_lab"`
	Hue    string  `json:"hue"`   // in plain words: "deep green"
	Loses  string  `json:"loses"` // what is lost most: "chroma", "lightness" or "hue"
	Text   string  `json:"text"`  // one sentence
}

// SpaceLoss is what a working space would lose of the picture.
type SpaceLoss struct {
	Space   string  `json:"space"`
	Beyond1 float64 `json:"share_beyond_1"`
	Beyond3 float64 `json:"share_beyond_3"`
	Beyond6 float64 `json:"share_beyond_6"`
	Max     float64 `json:"max"`
}

// Gamut sums the measurement up.
func (m *Measurement) Gamut() Gamut {
	var t, blacks tally
	var misses histogram
	for _, c := range m.colours {
		t.count(float64(c.miss), int(c.pixels))
		if m.isBlack(&c) {
			blacks.count(float64(c.miss), int(c.pixels))
		}
		if c.miss > 1 {
			misses = append(misses, uint64(math.Float32bits(c.miss))<<32|uint64(c.pixels))
		}
	}
	slices.Sort(misses)
	of := func(n int) float64 { return float64(n) / float64(len(m.sample)) }
	return Gamut{
		Profile:  m.profile,
		Measured: len(m.sample),
		Beyond1:  of(t.beyond[0]), Beyond3: of(t.beyond[1]), Beyond6: of(t.beyond[2]),
		Blacks:  Blacks{of(blacks.beyond[0]), of(blacks.beyond[1]), of(blacks.beyond[2])},
		Median:  misses.quantile(0.5, t.beyond[0]),
		P95:     misses.quantile(0.95, t.beyond[0]),
		Max:     t.max,
		Regions: m.regions(),
		Spaces:  slices.Clone(m.spaces),
	}
}

// isBlack tells of a colour whose miss is of the kind of [Blacks].
func (m *Measurement) isBlack(c *reached) bool {
	if c.asked[0] >= m.black {
		return false
	}
	lab := func(v [3]float32) Lab { return Lab{float64(v[0]), float64(v[1]), float64(v[2])} }
	_, chroma, hue := Difference(lab(c.asked), lab(c.got))
	return math.Abs(chroma) <= 1 && math.Abs(hue) <= 1
}

// histogram holds misses and the pixels each stands for: the bits of a float32
// above a count. Floats that are not negative order as their bits do.
type histogram []uint64

// quantile is the least miss that at least q of n pixels do not exceed; the
// histogram is sorted and holds n pixels.
func (h histogram) quantile(q float64, n int) float64 {
	rank, seen := int(math.Ceil(q*float64(n))), 0
	for _, v := range h {
		if seen += int(uint32(v)); seen >= rank {
			return float64(math.Float32frombits(uint32(v >> 32)))
		}
	}
	return 0
}

// tally counts misses.
type tally struct {
	beyond [3]int // pixels beyond 1, 3 and 6
	max    float64
}

func (t *tally) count(miss float64, pixels int) {
	for i, limit := range [3]float64{1, 3, 6} {
		if miss > limit {
			t.beyond[i] += pixels
		}
	}
	t.max = max(t.max, miss)
}
