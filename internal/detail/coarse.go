package detail

// House judgement: how far a picture is averaged for a long shake.
const shakeReduction = 4

// coarse is a picture's luma with every reduction x reduction pixels averaged,
// for waves that are too long for a tile.
type coarse struct {
	w, h, reduction int
	pix             []float32
}

// reductionFor is how far a picture of w x h is reduced for the coarse bands: so
// that a square of 64 still fits in. It is 1, none, where that is too small.
func reductionFor(w, h int) int {
	for _, r := range [2]int{8, 4} {
		if min(w, h) >= 64*r {
			return r
		}
	}
	return 1
}

// coarseOf averages the whole page; what is less than a reduced pixel is left out, as
// much at one side as at the other (to a pixel).
func coarseOf(p page, reduction int) coarse {
	c := coarse{w: p.w / reduction, h: p.h / reduction, reduction: reduction}
	c.pix = make([]float32, c.w*c.h)
	left, top := p.w%reduction/2, p.h%reduction/2
	inParallel(c.h, func() func(int) {
		read, row := p.reader(), make([]float32, p.w)
		return func(y int) {
			out := c.pix[y*c.w:][:c.w]
			for i := range reduction {
				read.read(top+y*reduction+i, row)
				addReduced(out, row[left:], reduction)
			}
		}
	})
	return c
}

// page is the coarse picture as one of its own.
func (c coarse) page() page {
	return page{c.w, c.h, 0, func() rowReader { return c }, nil}
}

func (c coarse) read(y int, dst []float32) { copy(dst, c.pix[y*c.w:][:c.w]) }

// to averages a coarse picture further.
func (c coarse) to(reduction int) coarse {
	further := coarseOf(c.page(), reduction/c.reduction)
	further.reduction = reduction
	return further
}

// mostHeld bounds the pixels of a page that is held in memory, at 4 bytes each. Tests have
// it lower.
var mostHeld = 64_000_000

// halved is the page with every 2 x 2 pixels averaged; one that is too large is averaged
// again for every reader.
func (p page) halved() page {
	if p.w/2*(p.h/2) <= mostHeld {
		return coarseOf(p, 2).page()
	}
	h := page{w: p.w / 2, h: p.h / 2}
	h.reader = func() rowReader { return &halvedReader{p.reader(), make([]float32, p.w)} }
	return h
}

type halvedReader struct {
	of  rowReader
	row []float32
}

func (r *halvedReader) read(y int, dst []float32) {
	dst = dst[:len(r.row)/2]
	clear(dst)
	for i := range 2 {
		r.of.read(2*y+i, r.row)
		addReduced(dst, r.row, 2)
	}
}

// held is the page in memory, for one that is dear to read, unless it is too large.
func (p page) held() page {
	if p.w*p.h > mostHeld {
		return p
	}
	q := coarseOf(p, 1).page()
	q.rounding = p.rounding
	return q
}

func addReduced(out, row []float32, reduction int) {
	part := 1 / float32(reduction*reduction)
	for x := range out {
		sum := float32(0)
		for _, v := range row[x*reduction:][:reduction] {
			sum += v
		}
		out[x] += float32(part * sum)
	}
}

// variance is the mean variance in each band over the squares of a lattice.
func (c coarse) variance() (mean [bandCount]float64) {
	n := squareSide(min(c.w, c.h))
	across, down := lattice(c.w, c.h)
	across.side, down.side = n, n
	t := newTransformer(n, c.reduction)
	for j := range down.n {
		for i := range across.n {
			p := t.of(c.pix[down.at(j)*c.w+across.at(i):], c.w)
			for b, v := range p.band {
				mean[b] += v / float64(across.n*down.n)
			}
		}
	}
	return mean
}
