package colour

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
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

// Picture gives rows of encoded device values of an upright picture, as
// photo.Photo does: one slice a channel, values in 0..1, safe for concurrent
// use.
type Picture interface {
	Channels() int
	Row(y int, dst [][]float32)
}

// gamutSamples is about how many pixels are measured: with a million, a share of
// 1 % has a standard error of 0.01 percentage points.
const gamutSamples = 1_000_000

// Measurement is a picture's colours, asked of a profile and got from it, on an
// even lattice of single pixels: an average of pixels can lie inside a gamut
// that each of them misses.
type Measurement struct {
	width, height int     // of the picture
	profile       string  // what was asked
	black         float32 // its L*
	cols, rows    int     // the lattice
	colours       []reached
	sample        []uint32 // for each lattice point, row by row, its colour
	spaces        []SpaceLoss
}

// reached is a colour that the picture asks for and what comes back.
type reached struct {
	asked, got [3]float32 // CIELAB
	miss       float32    // CIEDE2000
	pixels     uint32     // lattice points that ask for it
}

// MeasureGamut takes a picture of width x height pixels, whose values mean what
// source says, to dest and back: media-relative colorimetric, no black point
// compensation. Its result does not depend on the number of cores.
//
// Each distinct colour is worked out once, exactly, by both profiles' own
// pipelines. Values are first rounded to steps that hold 8-bit values exactly
// (see codeSteps), since a picture of 16 bits has about as many colours as
// pixels.
func MeasureGamut(pic Picture, width, height int, source, dest *Profile) (*Measurement, error) {
	if pic.Channels() != source.Channels {
		return nil, fmt.Errorf("the picture has %d channels and its profile %q is for %d; give it a profile for its own kind of values",
			pic.Channels(), source.Name, source.Channels)
	}
	if width < 1 || height < 1 {
		return nil, fmt.Errorf("a picture of %d x %d pixels has no colours to measure", width, height)
	}
	m := &Measurement{width: width, height: height, profile: dest.Name}
	m.cols, m.rows = lattice(width, height, gamutSamples)
	codes, err := m.read(pic)
	if err != nil {
		return nil, err
	}
	black, err := dest.black(Relative)
	if err != nil {
		return nil, err
	}
	m.black = float32(black.Lab()[0])
	distinct := m.index(codes)
	if err := m.reach(distinct, source, dest); err != nil {
		return nil, err
	}
	return m, nil
}

// lattice is the number of points across and down, about n of them and evenly
// spread both ways; the whole picture if it has no more.
func lattice(width, height, n int) (cols, rows int) {
	step := max(1, math.Sqrt(float64(width)*float64(height)/float64(n)))
	rows = min(max(1, int(float64(height)/step)), n)
	cols = min(width, n/rows) // a ribbon has fewer pixels across than steps
	return cols, min(height, n/cols)
}

// point is the pixel in the middle of a lattice interval.
func point(i, n, pixels int) int { return (2*i + 1) * pixels / (2 * n) }

// codeSteps is how many steps a device value is rounded to, so that a colour is
// a code of a byte a channel. Nothing happens to 8-bit values. Deeper ones are
// moved by half a step at most, as much one way as the other: on a 16-bit
// picture all shares stay within 0.1 percentage points of those without it (see
// TestDeepPicturesAreMeasuredWellInBytes), and a noisy one has half as many
// colours to work out.
const codeSteps = 255

// read samples the picture: each entry is a code of device values above the
// lattice point's number.
func (m *Measurement) read(pic Picture) ([]uint64, error) {
	codes := make([]uint64, m.cols*m.rows)
	channels := pic.Channels()
	return codes, spread(m.rows, func(from, to int) error {
		row := make([][]float32, channels)
		for c := range row {
			row[c] = make([]float32, m.width)
		}
		for j := from; j < to; j++ {
			pic.Row(point(j, m.rows, m.height), row)
			for i := range m.cols {
				x, code := point(i, m.cols, m.width), uint64(0)
				for c := range row {
					code = code<<8 | uint64(unit(row[c][x])*codeSteps+0.5)
				}
				at := j*m.cols + i
				codes[at] = code<<32 | uint64(at)
			}
		}
		return nil
	})
}

// index finds the distinct codes, ascending, and gives each lattice point the
// number of its own.
func (m *Measurement) index(codes []uint64) (distinct []uint32) {
	slices.Sort(codes)
	m.sample = make([]uint32, len(codes))
	for _, v := range codes {
		code := uint32(v >> 32)
		if n := len(distinct); n == 0 || distinct[n-1] != code {
			distinct = append(distinct, code)
			m.colours = append(m.colours, reached{})
		}
		m.sample[uint32(v)] = uint32(len(distinct) - 1)
		m.colours[len(distinct)-1].pixels++
	}
	return distinct
}

// reach works out every distinct colour.
func (m *Measurement) reach(distinct []uint32, source, dest *Profile) error {
	var mu sync.Mutex
	total := newSpaceTallies()
	err := spread(len(distinct), func(from, to int) error {
		trip, err := newRoundTrip(source, dest)
		if err != nil {
			return err
		}
		mine := newSpaceTallies()
		for i := from; i < to; i++ {
			c := &m.colours[i]
			asked := trip.ask(distinct[i])
			got := trip.back(asked)
			a, g := asked.Lab(), got.Lab()
			miss := DeltaE(a, g)
			if !(miss < 1e6) {
				return fmt.Errorf("taking a colour from %q to %q and back gives no number; one of the two profiles is damaged: install it anew",
					source.Name, dest.Name)
			}
			for k := range 3 {
				c.asked[k], c.got[k] = float32(a[k]), float32(g[k])
			}
			c.miss = float32(miss)
			for s := range mine {
				mine[s].add(asked, a, int(c.pixels))
			}
		}
		mu.Lock()
		defer mu.Unlock()
		for s := range total {
			total[s].join(mine[s])
		}
		return nil
	})
	for _, s := range total {
		m.spaces = append(m.spaces, s.loss(len(m.sample)))
	}
	return err
}

// roundTrip is one goroutine's way to a profile and back.
type roundTrip struct {
	source, dest toXYZ
	to           fromXYZ
	channels     int
	device       [4]float64
}

func newRoundTrip(source, dest *Profile) (r *roundTrip, err error) {
	r = &roundTrip{channels: source.Channels}
	if r.source, err = source.toXYZ(Relative); err != nil {
		return nil, fmt.Errorf("from %s: %w", source.Name, err)
	}
	if r.to, err = dest.fromXYZ(Relative); err != nil {
		return nil, fmt.Errorf("to %s: %w", dest.Name, err)
	}
	if r.dest, err = dest.toXYZ(Relative); err != nil {
		return nil, fmt.Errorf("back from %s: %w", dest.Name, err)
	}
	return r, nil
}

func (r *roundTrip) ask(code uint32) XYZ {
	for c := r.channels - 1; c >= 0; c-- {
		r.device[c] = float64(code&255) / codeSteps
		code >>= 8
	}
	return r.source(r.device[:])
}

func (r *roundTrip) back(c XYZ) XYZ {
	r.to(r.device[:], c)
	return r.dest(r.device[:])
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

// spaceTally is what a working space loses. A matrix space's round trip is a
// clip of its linear light, whatever its curves.
type spaceTally struct {
	tally
	name    string
	matrix  [3][3]float64
	inverse [3][3]float64
}

func newSpaceTallies() (t []spaceTally) {
	for _, s := range []RGBSpace{SRGB, A98, ROMM} {
		m := s.Matrix()
		t = append(t, spaceTally{name: s.Name, matrix: m, inverse: inverse(m)})
	}
	return t
}

// clipTolerance is how far beyond 0..1 linear light may be before it counts as
// clipped: profiles hold their matrices in steps of 1/65536, so that a space's
// own colours come out as far off as this. It hides at most 0.05 CIEDE2000.
const clipTolerance = 5e-5

func (s *spaceTally) add(c XYZ, asked Lab, pixels int) {
	lin := mulVec(s.inverse, c)
	inside := true
	for i, v := range lin {
		inside = inside && v >= -clipTolerance && v <= 1+clipTolerance
		lin[i] = min(max(v, 0), 1)
	}
	if !inside {
		s.count(DeltaE(asked, XYZ(mulVec(s.matrix, lin)).Lab()), pixels)
	}
}

func (s *spaceTally) join(o spaceTally) {
	for i := range s.beyond {
		s.beyond[i] += o.beyond[i]
	}
	s.max = max(s.max, o.max)
}

func (s *spaceTally) loss(pixels int) SpaceLoss {
	of := func(n int) float64 { return float64(n) / float64(pixels) }
	return SpaceLoss{Space: s.name, Beyond1: of(s.beyond[0]), Beyond3: of(s.beyond[1]), Beyond6: of(s.beyond[2]), Max: s.max}
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

// spread does n things on all cores, a run of them on each; a panic below
// becomes an error.
func spread(n int, do func(from, to int) error) error {
	workers := min(runtime.GOMAXPROCS(0), n)
	errs := make([]error, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			defer contain(&errs[w])
			errs[w] = do(w*n/workers, (w+1)*n/workers)
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
