package colour

import (
	"math"
	"slices"
)

// Gamut says how far a picture's colours are outside the gamut of a profile. Each
// colour is converted to the profile and back, media-relative colorimetric, with black
// point compensation if the print uses it. The CIEDE2000 difference between the
// original and the result is the colour's miss. Shares are of pixels, 0..1.
type Gamut struct {
	Profile     string      `json:"profile"` // the profile's description
	Compensated bool        `json:"black_point_compensation"`
	Measured    int         `json:"pixels_measured"` // an even lattice over the picture
	Shares                  // of pixels that miss
	Blacks      Shares      `json:"of_these_blacks"`  // pixels that only become lighter: see [isDepth]
	Seen        *Shares     `json:"seen,omitempty"`   // misses that a person sees: see [view]; nil in records from before it was measured
	Median      float64     `json:"median_of_misses"` // CIEDE2000 of the pixels beyond 1; 0 if none
	P95         float64     `json:"p95_of_misses"`
	Max         float64     `json:"max"`
	Regions     []Region    `json:"regions"`        // the worst few, worst first
	Spaces      []SpaceLoss `json:"working_spaces"` // what converting this picture to each standard working space would lose
}

// Shares are shares of a picture's pixels, 0..1, by the size of their miss.
type Shares struct {
	Beyond1 float64 `json:"share_beyond_1"` // more than 1 CIEDE2000
	Beyond3 float64 `json:"share_beyond_3"`
	Beyond6 float64 `json:"share_beyond_6"`
}

// Beyond returns the share for a limit of 1, 3 or 6; 0 if nothing was measured.
func (s *Shares) Beyond(limit float64) float64 {
	switch {
	case s == nil:
		return 0
	case limit <= 1:
		return s.Beyond1
	case limit <= 3:
		return s.Beyond3
	}
	return s.Beyond6
}

// Region is a part of the picture whose colours miss.
type Region struct {
	X      int     `json:"x_px"` // in the upright source picture
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

// SpaceLoss is what converting the picture to a working space would lose.
type SpaceLoss struct {
	Space string `json:"space"`
	Shares
	Max float64 `json:"max"`
}

// Gamut returns the summary of the measurement. It is computed once and shared: do not
// change it.
func (m *Measurement) Gamut() Gamut { return m.sum() }

func (m *Measurement) summed() Gamut {
	var all, blacks tally
	var misses histogram
	for _, c := range m.colours {
		all.count(float64(c.miss), int(c.pixels))
		blacks.countBetween(float64(c.seen), float64(c.miss), int(c.pixels))
		if c.miss > 1 {
			misses = append(misses, uint64(math.Float32bits(c.miss))<<32|uint64(c.pixels))
		}
	}
	slices.Sort(misses)
	n, view := len(m.sample), m.view()
	seen := view.seen.shares(n)
	return Gamut{
		Profile: m.profile, Compensated: m.compensated, Measured: n,
		Shares:  all.shares(n),
		Blacks:  blacks.shares(n),
		Seen:    &seen,
		Median:  misses.quantile(0.5, all.beyond[0]),
		P95:     misses.quantile(0.95, all.beyond[0]),
		Max:     all.max,
		Regions: m.regions(view),
		Spaces:  slices.Clone(m.spaces),
	}
}

// histogram holds misses and the number of pixels of each: the bits of a float32 above
// a count. Non-negative floats have the same order as their bits.
type histogram []uint64

// quantile returns the smallest miss that at least q of n pixels do not exceed. The
// histogram must be sorted and hold n pixels.
func (h histogram) quantile(q float64, n int) float64 {
	rank, seen := int(math.Ceil(q*float64(n))), 0
	for _, v := range h {
		if seen += int(uint32(v)); seen >= rank {
			return float64(math.Float32frombits(uint32(v >> 32)))
		}
	}
	return 0
}

// limits are the limits by which misses are counted, CIEDE2000.
var limits = [3]float64{1, 3, 6}

// tally counts misses.
type tally struct {
	beyond [3]int // pixels beyond each limit
	max    float64
}

func (t *tally) count(miss float64, pixels int) {
	t.countBetween(0, miss, pixels)
	t.max = max(t.max, miss)
}

// countBetween counts pixels whose miss exceeds a limit, but would not exceed it
// without some part of the miss.
func (t *tally) countBetween(without, miss float64, pixels int) {
	for i, limit := range limits {
		if miss > limit && without <= limit {
			t.beyond[i] += pixels
		}
	}
}

func (t *tally) shares(pixels int) Shares {
	of := func(n int) float64 { return float64(n) / float64(pixels) }
	return Shares{of(t.beyond[0]), of(t.beyond[1]), of(t.beyond[2])}
}
