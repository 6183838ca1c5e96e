package colour

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"sizewright/internal/plural"
)

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
		return nil, fmt.Errorf("the picture has %s and its profile %q is for %d; give it a profile for its own kind of values",
			plural.Count(pic.Channels(), "channel", "channels"), source.Name, source.Channels)
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
