package render

import (
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"sizewright/internal/learned"
	"sizewright/internal/vector"
)

// predictor adds to an enlargement's luma a share of the residual that a network
// predicts. The residual lies on a grid of twice or four times the source's pixels, from
// which it is resampled to the print's. It is made in strips of source rows, which several
// bands share; workers that wait for the same strip make it together.
type predictor struct {
	net    *learned.Network
	share  float32
	across *axis             // from the residual's columns to the print's
	x      *vector.Resampler // of across
	y      *axis
	margin int

	mu     sync.Mutex
	strips map[int]*strip
}

const (
	stripRows    = 160 // source rows of a strip
	stripColumns = 256 // source columns that a worker makes at once
)

// predicts prepares it, if the recipe has one.
func (r *Renderer) predicts() error {
	l := r.recipe.Scale.Learned
	if l == (Learned{}) {
		return nil
	}
	net := learned.ByDigest(l.Weights)
	switch {
	case r.halos == nil:
		return errors.New("render: the recipe has a network without the halo limit")
	case net == nil:
		return fmt.Errorf("render: the recipe is for another network, whose weights have SHA-256 %s", l.Weights)
	}
	p, s := &r.recipe, float64(net.Scale)
	x := newAxis(Lanczos3, net.Scale*r.src.Width, s*p.Crop.X, s*p.Crop.Width, p.Print.Width)
	f := &predictor{net: net, share: float32(l.Share), across: x, margin: x.margin(), strips: map[int]*strip{}}
	f.x = x.resampler(f.margin)
	f.y = newAxis(Lanczos3, net.Scale*r.src.Height, s*p.Crop.Y, s*p.Crop.Height, p.Print.Height)
	r.learned = f
	return nil
}

// predict fetches the residual that the band needs: its rows, and the columns of all its
// tiles.
func predict(r *Renderer, b *band) {
	f := r.learned
	if f == nil {
		return
	}
	top, bottom := f.y.needs(r.printRows(b, 0))
	h := r.haloColumns(0)
	left, right := f.across.needs(max(0, b.window[0]-h), min(r.recipe.Print.Width, b.window[1]+h))
	width := f.net.Scale * r.src.Width
	b.predicted.shape(top, -f.margin, bottom, width+f.margin)
	unit := f.share / learned.Unit
	rows := f.net.Scale * stripRows
	for y := top; y < bottom; y++ {
		s := f.strip(r, y/rows, left/f.net.Scale, (right-1)/f.net.Scale)
		from := s.residual[y%rows*width:][left:right]
		to := b.predicted.span(y, left, right)
		for i, v := range from {
			to[i] = unit * float32(v)
		}
	}
	b.predicted.extend(left, right)
}

// addPredicted adds them to the tile's luma, and keeps it within the halo limit's bounds.
// Without those it went 1.5 % of white further beyond the original at edges, for 0.04 dB
// (scripts/quality.sh).
func addPredicted(r *Renderer, b *band) {
	f := r.learned
	if f == nil {
		return
	}
	left, right := r.printColumns(b, 0)
	from, lines := &b.predicted, &b.predictX
	lines.shape(from.top, left, from.top+from.rows, right)
	for y := from.top; y < from.top+from.rows; y++ {
		f.x.Line(lines.row(y), from.row(y), left)
	}
	b.missing = grow(b.missing, right-left)
	for y := b.print[0].top; y < b.print[0].top+b.print[0].rows; y++ {
		f.y.down(b, y, lines, b.missing)
		low, high := r.boundsOfRow(b, y)
		luma := b.print[0].span(y, left, right)
		for i, v := range b.missing {
			luma[i] = min(max(luma[i]+v, low[i]), high[i])
		}
	}
	b.print[0].extend(left, right)
}

// boundsOfRow returns the halo limit's bounds of row y of the print at the tile's columns,
// as encoded luma.
func (r *Renderer) boundsOfRow(b *band, y int) (low, high []float32) {
	k, w := int(r.halos.y.first[y]), r.halos.y.weights(y)
	n := len(b.missing)
	b.cellLow, b.cellHigh = grow(b.cellLow, n), grow(b.cellHigh, n)
	vector.WeightedSum(b.cellLow, [][]float32{b.low.row(k), b.low.row(k + 1)}, w)
	vector.WeightedSum(b.cellHigh, [][]float32{b.high.row(k), b.high.row(k + 1)}, w)
	vector.Cubic(b.cellLow, float32(r.recipe.Scale.Curve))
	vector.Cubic(b.cellHigh, float32(r.recipe.Scale.Curve))
	return b.cellLow, b.cellHigh
}

// strip is the residual of some rows of the source, in tiles of some columns.
type strip struct {
	once     sync.Once
	luma     []int16 // of the rows and the network's halo
	residual []int16
	tiles    []tile
}

type tile struct {
	claimed atomic.Bool
	made    sync.WaitGroup
}

// strip returns strip i of the residual with the tiles that have source columns first to
// last. The workers that ask for it share the work.
func (f *predictor) strip(r *Renderer, i, first, last int) *strip {
	s := f.find(i)
	top := i * stripRows
	rows := min(stripRows, r.src.Height-top)
	s.once.Do(func() {
		s.luma = f.luma(r, top, rows)
		s.residual = make([]int16, f.net.Scale*f.net.Scale*rows*r.src.Width)
		s.tiles = make([]tile, (r.src.Width+stripColumns-1)/stripColumns)
		for t := range s.tiles {
			s.tiles[t].made.Add(1)
		}
	})
	for t := first / stripColumns; t <= last/stripColumns; t++ {
		if s.tiles[t].claimed.CompareAndSwap(false, true) {
			s.make(f.net, t, r.src.Width, rows)
		}
	}
	for t := first / stripColumns; t <= last/stripColumns; t++ {
		s.tiles[t].made.Wait()
	}
	return s
}

// make makes tile t of the rows of a picture of that width.
func (s *strip) make(net *learned.Network, t, width, rows int) {
	defer s.tiles[t].made.Done() // also in a panic, for those that wait
	x := t * stripColumns
	net.Residual(s.residual[net.Scale*x:], net.Scale*width, s.luma[x:], width+2*net.Halo, min(stripColumns, width-x), rows)
}

// find returns the strip, begun or not, and forgets the uppermost when there are more than
// the workers of a print need at once.
func (f *predictor) find(i int) *strip {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.strips[i]
	if s == nil {
		s = &strip{}
		f.strips[i] = s
	}
	if len(f.strips) > 4+runtime.GOMAXPROCS(0)/2 {
		first := i
		for k := range f.strips {
			first = min(first, k)
		}
		if first != i {
			delete(f.strips, first)
		}
	}
	return s
}

// luma returns the source's luma in the network's unit, with its halo.
func (f *predictor) luma(r *Renderer, top, rows int) []int16 {
	b := bands.Get().(*band)
	defer bands.Put(b)
	h, w := f.net.Halo, r.src.Width
	all := make([]int16, (w+2*h)*(rows+2*h))
	for c := range r.channels {
		b.raw[c] = grow(b.raw[c], w)
	}
	for j := range rows + 2*h {
		y := min(max(top+j-h, 0), r.src.Height-1)
		if r.apart {
			r.src.YCCRow(0, y, b.raw[0])
		} else {
			r.readRow(y, b.raw[:r.channels], b)
		}
		line := all[j*(w+2*h):][:w+2*h]
		for x, v := range b.raw[0][:w] {
			line[h+x] = networkLuma(v)
		}
		for x := range h {
			line[x], line[h+w+x] = line[h], line[h+w-1]
		}
	}
	return all
}
