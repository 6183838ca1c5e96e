package detail

import (
	"math"

	"sizewright/internal/exact"
)

// House judgement, no source: how an enlarged picture is brought back.
const (
	backReach = 3.0  // of the kernel, as Lanczos'
	backSlack = 0.8  // of the factor: the kernel lets by a little more than the grid it goes to, which the enlargement left hardly anything of
	backLift  = 0.02 // of the second difference, taken off: some of what softer kernels (Mitchell, triangle) took, and not so much that a sharper one seems finer
)

// reduced is the page as it was before it was enlarged so many times.
func (p page) reduced(by float64) page {
	w, h := int(float64(p.w)/by), int(float64(p.h)/by)
	across, down := weightsOf(p.w, w, by), weightsOf(p.h, h, by)
	kept := 0.0 // of the variance of what has no correlation
	for _, v := range down[h/2].weight {
		kept += float64(v * v)
	}
	return page{w, h, p.rounding * kept * kept, func() rowReader {
		return &reducedReader{p.reader(), across, down, [][2]int{{0, w}}, make([]float32, p.w), make(map[int][]float32), nil}
	}, nil}
}

// gathering is how a pixel is made of others, from the first on.
type gathering struct {
	first  int
	weight []float32
}

// weightsOf is how to pixels are made of from pixels, both centred alike.
func weightsOf(from, to int, by float64) []gathering {
	stretch := max(1, backSlack*by)
	g := make([]gathering, to)
	for i := range g {
		at := float64((float64(i)+0.5)*by) - 0.5
		lo, hi := int(math.Ceil(at-float64(backReach*stretch)-by)), int(math.Floor(at+float64(backReach*stretch)+by))
		lo, hi = max(0, lo), min(from-1, hi)
		g[i] = gathering{lo, make([]float32, hi-lo+1)}
		sum := 0.0
		for k := range g[i].weight {
			x := (float64(lo+k) - at) / stretch
			v := float64((1+2*backLift)*lanczos(x, backReach)) - float64(backLift*(lanczos(x-by/stretch, backReach)+lanczos(x+by/stretch, backReach)))
			g[i].weight[k], sum = float32(v), sum+v
		}
		for k := range g[i].weight {
			g[i].weight[k] /= float32(sum)
		}
	}
	return g
}

// lanczos is the kernel of C. E. Duchon, "Lanczos filtering in one and two
// dimensions", Journal of Applied Meteorology 18 (1979).
func lanczos(x, reach float64) float64 {
	switch {
	case x == 0:
		return 1
	case math.Abs(x) >= reach:
		return 0
	}
	return exact.Sin(math.Pi*x) * exact.Sin(math.Pi*x/reach) * reach / (math.Pi * math.Pi * x * x)
}

// reducedReader keeps the rows that it made last, since the next row needs most of
// them again.
type reducedReader struct {
	from         rowReader
	across, down []gathering
	wanted       [][2]int // columns, from and to; what lies between them is not made
	whole        []float32
	kept         map[int][]float32 // rows of the larger picture, narrowed
	spare        [][]float32
}

func (r *reducedReader) read(y int, dst []float32) {
	g := r.down[y]
	for k, row := range r.kept {
		if k < g.first || k >= g.first+len(g.weight) {
			delete(r.kept, k)
			r.spare = append(r.spare, row)
		}
	}
	dst = dst[:len(r.across)]
	clear(dst)
	for k, weight := range g.weight {
		row := r.narrowed(g.first + k)
		for _, c := range r.wanted {
			to := dst[c[0]:c[1]]
			for x, v := range row[c[0]:c[1]] {
				to[x] += float32(weight * v)
			}
		}
	}
}

// only has rows made in some columns alone, and be nothing elsewhere.
func (r *reducedReader) only(wanted [][2]int) { r.wanted = wanted }

func (r *reducedReader) narrowed(y int) []float32 {
	if row, ok := r.kept[y]; ok {
		return row
	}
	var row []float32
	if n := len(r.spare); n > 0 {
		row, r.spare = r.spare[n-1], r.spare[:n-1]
	} else {
		row = make([]float32, len(r.across))
	}
	r.from.read(y, r.whole)
	for _, c := range r.wanted {
		for x := c[0]; x < c[1]; x++ {
			g, sum := r.across[x], float32(0)
			for k, v := range r.whole[g.first:][:len(g.weight)] {
				sum += float32(g.weight[k] * v)
			}
			row[x] = sum
		}
	}
	r.kept[y] = row
	return row
}
