package detail

import "math"

// House judgement, no source: a colour filter's trace.
const (
	likeTwice = 0.01 // share by which a factor may differ from 2
	chequered = 0.1  // share of the curvature's power that differs between a chessboard's two colours
	overLines = 2.0  // times what differs between columns, or between rows
)

// chessboard is the power of curvature at the four kinds of pixels, by x&1 +
// 2*(y&1) counted from the picture's top left. Every tile has one voice.
//
// A camera's sensor sees one colour at each pixel, green at those of one colour of
// a chessboard, and the others are interpolated: by exactly two, and so the picture
// seems to have been enlarged twice. But there green was measured or not by
// chessboard, where an enlargement measured by columns and by rows: if its grids
// are centred alike all pixels are alike, and if not, columns or rows
// differ more. Of nine photographs made mosaics and interpolated bilinearly, the colours
// differ by 0.5 to 0.9; of 32 enlarged twice, by up to 0.01.
type chessboard [4]float64

// add gives a tile, at (left, top) of the picture, its voice.
func (c *chessboard) add(t *tile, left, top int) {
	var sum [4]float64
	for y := 1; y+1 < t.h; y++ {
		above, line, below := t.pix[(y-1)*t.w:][:t.w], t.pix[y*t.w:][:t.w], t.pix[(y+1)*t.w:][:t.w]
		for x := 1; x+1 < t.w; x++ {
			v := line[x-1] + line[x+1] + above[x] + below[x] - float32(4*line[x])
			sum[(left+x)&1+2*((top+y)&1)] += float64(v * v)
		}
	}
	all := sum[0] + sum[1] + sum[2] + sum[3] + float64(leastRms*leastRms*float64(t.w*t.h))
	for i := range c {
		c[i] += sum[i] / all
	}
}

// isMosaic reports whether a colour filter left the difference.
func (c *chessboard) isMosaic() bool {
	all := c[0] + c[1] + c[2] + c[3]
	columns, rows := math.Abs(c[0]-c[1]+c[2]-c[3]), math.Abs(c[0]+c[1]-c[2]-c[3])
	colours := math.Abs(c[0] - c[1] - c[2] + c[3])
	return colours > chequered*all && colours > overLines*max(columns, rows)
}

func (p page) isMosaic() bool {
	var c chessboard
	across, down := lattice(p.w, p.h)
	for i, t := range readTiles(p) {
		c.add(&t, across.at(i%across.n), down.at(i/across.n))
	}
	return c.isMosaic()
}

// enlargement is how many times the page was enlarged, as its survey with lagged
// products says; 1 where there is no trace of it. Pixels that are doubled are plain
// to see; a pattern of a few levels, as a chessboard, repeats and was not interpolated.
func (p page) enlargement(s *survey) float64 {
	if s.isDrawn() {
		return 1
	}
	if n := s.times(); n > 1 {
		return float64(n)
	}
	by := enlargedBy(s.repeats())
	if math.Abs(float64(by/2)-1) < likeTwice && p.isMosaic() {
		return 1
	}
	return by
}
