package colour

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"sizewright/internal/plural"
	"sizewright/internal/remedy"
)

// Picture returns rows of encoded device values of an upright picture, as photo.Photo
// does: one slice per channel, values in 0..1. It must be safe for concurrent use.
type Picture interface {
	Channels() int
	Row(y int, dst [][]float32)
}

// gamutSamples is the approximate number of pixels measured. With a million, a share of
// 1 % has a standard error of 0.01 percentage points.
const gamutSamples = 1_000_000

// Measurement holds a picture's colours before and after conversion to a profile, on an
// even lattice of single pixels. It does not average pixels: an average can be inside
// the gamut when every pixel is outside.
type Measurement struct {
	width, height int    // px
	profile       string // the profile's description
	compensated   bool   // black point compensation in both directions
	cols, rows    int    // the lattice
	colours       []converted
	sample        []uint32 // index into colours for each lattice point, row by row
	spaces        []SpaceLoss
	sum           func() Gamut // computes once
}

// converted is a colour of the picture, and the colour that results from the conversion.
type converted struct {
	asked, got [3]float32 // CIELAB
	miss       float32    // CIEDE2000
	seen       float32    // CIEDE2000 without the loss of depth: see [isDepth]
	judged     float32    // seen, weighted for the eye: see [judge]
	pixels     uint32     // lattice points of this colour
}

// MeasureGamut converts a picture of width x height pixels to the profile of the print
// and back, media-relative colorimetric: what such a proof clips is what the paper
// cannot reproduce. If way uses black point compensation, so do both directions (ISO
// 18619:2015). The black of the picture then equals that of the paper, and a paper's
// lack of depth is not a miss. The perceptual and saturation intents change all colours
// on purpose, including black, and so are always measured with compensation. The result
// does not depend on the number of cores.
//
// Each distinct colour is converted once, exactly, with both profiles' own pipelines.
// Values are first rounded to steps that represent 8-bit values exactly (see
// codeSteps), since a 16-bit picture has about as many colours as pixels.
func MeasureGamut(pic Picture, width, height int, way Chain) (*Measurement, error) {
	return measureFor(pic, width, height, way, Relative)
}

// MeasurePerceptual measures the same of a print by the perceptual intent, which also
// changes colours that the paper could hold; nil if the profile has no table for it, and
// so makes the same print as by the relative.
func MeasurePerceptual(pic Picture, width, height int, way Chain) (*Measurement, error) {
	if !way.To.hasTables(Perceptual) {
		return nil, nil
	}
	way.Intent = Perceptual
	return measureFor(pic, width, height, way, Perceptual)
}

func measureFor(pic Picture, width, height int, way Chain, print Intent) (*Measurement, error) {
	source, dest := way.From, way.To
	if pic.Channels() != source.Channels {
		return nil, remedy.Errorf("give it a profile for its own kind of values", "the picture has %s but its profile %q is for %d",
			plural.Count(pic.Channels(), "channel", "channels"), source.Name, source.Channels)
	}
	if width < 1 || height < 1 {
		return nil, fmt.Errorf("a picture of %d x %d pixels has no colours to measure", width, height)
	}
	m := &Measurement{width: width, height: height, profile: dest.Name, compensated: way.proofCompensates()}
	m.cols, m.rows = lattice(width, height, gamutSamples)
	codes, err := m.read(pic)
	if err != nil {
		return nil, err
	}
	trip, err := newRoundTrip(source, dest, m.compensated, print)
	if err != nil {
		return nil, err
	}
	distinct := m.index(codes)
	if err := m.reach(distinct, trip); err != nil {
		return nil, err
	}
	m.sum = sync.OnceValue(m.summed)
	return m, nil
}

// proofCompensates reports whether a colorimetric proof of the chain uses black point
// compensation.
func (c Chain) proofCompensates() bool {
	switch c.Intent {
	case Absolute:
		return false
	case Perceptual, Saturation:
		return true
	}
	return c.BlackPoint
}

// lattice returns the number of points across and down, about n in all and evenly
// spaced, or the whole picture if it has fewer pixels.
func lattice(width, height, n int) (cols, rows int) {
	step := max(1, math.Sqrt(float64(width)*float64(height)/float64(n)))
	rows = min(max(1, int(float64(height)/step)), n)
	cols = min(width, n/rows) // a very narrow picture has fewer pixels across than steps
	return cols, min(height, n/cols)
}

// point returns the pixel in the middle of a lattice interval.
func point(i, n, pixels int) int { return (2*i + 1) * pixels / (2 * n) }

// codeSteps is the number of steps that a device value is rounded to, so that a colour
// is a code with one byte per channel. 8-bit values do not change. Deeper values change
// by half a step at most, up and down equally often. On a 16-bit picture all shares
// stay within 0.1 percentage points of those without rounding (see
// TestDeepPicturesAreMeasuredWellInBytes), and a noisy picture has half as many colours
// to convert.
const codeSteps = 255

// read samples the picture. Each entry is a code of device values, above the number of
// its lattice point.
func (m *Measurement) read(pic Picture) ([]uint64, error) {
	codes := make([]uint64, m.cols*m.rows)
	channels := pic.Channels()
	return codes, parallel(m.rows, func(from, to int) error {
		row := make([][]float32, channels)
		for c := range row {
			row[c] = make([]float32, m.width)
		}
		for j := from; j < to; j++ {
			pic.Row(point(j, m.rows, m.height), row)
			for i := range m.cols {
				x, code := point(i, m.cols, m.width), uint64(0)
				for c := range row {
					code = code<<8 | uint64(float32(unit(row[c][x])*codeSteps)+0.5)
				}
				at := j*m.cols + i
				codes[at] = code<<32 | uint64(at)
			}
		}
		return nil
	})
}

// index returns the distinct codes in ascending order, and sets each lattice point's
// index.
func (m *Measurement) index(codes []uint64) (distinct []uint32) {
	slices.Sort(codes)
	m.sample = make([]uint32, len(codes))
	for _, v := range codes {
		code := uint32(v >> 32)
		if n := len(distinct); n == 0 || distinct[n-1] != code {
			distinct = append(distinct, code)
			m.colours = append(m.colours, converted{})
		}
		m.sample[uint32(v)] = uint32(len(distinct) - 1)
		m.colours[len(distinct)-1].pixels++
	}
	return distinct
}

// reach converts every distinct colour.
func (m *Measurement) reach(distinct []uint32, found *roundTrip) error {
	var mu sync.Mutex
	total := newSpaceTallies()
	err := parallel(len(distinct), func(from, to int) error {
		trip, err := found.clone()
		if err != nil {
			return err
		}
		mine := newSpaceTallies()
		for i := from; i < to; i++ {
			c := &m.colours[i]
			asked := trip.ask(distinct[i])
			got := trip.back(asked)
			a, g := asked.Lab(), got.Lab()
			miss := deltaE(a, g)
			if !(miss < 1e6) {
				return remedy.Errorf("one of the two profiles is damaged: install it again", "converting a colour from %q to %q and back gives no valid number",
					found.from.Name, found.dest.Name)
			}
			for k := range 3 {
				c.asked[k], c.got[k] = float32(a[k]), float32(g[k])
			}
			seen := miss
			if isDepth(a, g) {
				seen = seenMiss(a, g)
			}
			c.miss, c.seen, c.judged = float32(miss), float32(seen), float32(judge(a, seen))
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

// roundTrip converts colours to a profile and back, for one goroutine.
type roundTrip struct {
	from, dest *Profile
	// From the picture's black to that of the connection space, from that to the
	// profile's, and back.
	ofSource, toDest, ofDest compensation

	read, proof toXYZ
	print       fromXYZ
	device      [4]float64
	intent      Intent // of the way to dest; all else is relative
}

func newRoundTrip(source, dest *Profile, compensated bool, print Intent) (*roundTrip, error) {
	r := &roundTrip{from: source, dest: dest, intent: print, ofSource: none, toDest: none, ofDest: none}
	if !compensated {
		return r, nil
	}
	in, err := source.black(Relative)
	if err != nil {
		return nil, fmt.Errorf("from %s: %w", source.Name, err)
	}
	there, err := dest.destinationBlack(Relative)
	if err != nil {
		return nil, fmt.Errorf("to %s: %w", dest.Name, err)
	}
	back, err := dest.black(Relative)
	if err != nil {
		return nil, fmt.Errorf("back from %s: %w", dest.Name, err)
	}
	r.ofSource, r.toDest, r.ofDest = compensationFor(in, XYZ{}), compensationFor(XYZ{}, there), compensationFor(back, XYZ{})
	if print == Perceptual {
		r.toDest = none // its table begins at black
	}
	return r, nil
}

// clone returns the round trip for another goroutine, with its own pipelines.
func (r *roundTrip) clone() (*roundTrip, error) {
	t := *r
	var err error
	if t.read, err = t.from.toXYZ(Relative); err != nil {
		return nil, fmt.Errorf("from %s: %w", t.from.Name, err)
	}
	if t.print, err = t.dest.fromXYZ(t.intent); err != nil {
		return nil, fmt.Errorf("to %s: %w", t.dest.Name, err)
	}
	if t.proof, err = t.dest.toXYZ(Relative); err != nil {
		return nil, fmt.Errorf("back from %s: %w", t.dest.Name, err)
	}
	return &t, nil
}

func (r *roundTrip) ask(code uint32) XYZ {
	for c := r.from.Channels - 1; c >= 0; c-- {
		r.device[c] = float64(code&255) / codeSteps
		code >>= 8
	}
	return r.ofSource.of(r.read(r.device[:]))
}

func (r *roundTrip) back(c XYZ) XYZ {
	r.print(r.device[:], r.toDest.of(c))
	return r.ofDest.of(r.proof(r.device[:]))
}

// parallel divides n items among all cores. It turns a panic into an error.
func parallel(n int, do func(from, to int) error) error {
	workers := min(runtime.GOMAXPROCS(0), n)
	errs := make([]error, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			defer recoverError(&errs[w])
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
