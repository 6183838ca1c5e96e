package detail

import (
	"math"

	"sizewright/internal/photo"
)

// House judgement: enough tiles that a subject in a corner meets several, few
// enough that a picture of any size is measured in the time of a small one.
const (
	tileSide = 128 // px
	maxTiles = 200
)

// tile is a small piece of the picture's luma: pixel (x, y) is pix[y*w+x].
type tile struct {
	w, h int
	pix  []float32
}

// span is where the tiles lie along one side of the picture: n of them, each
// of side pixels, evenly from end to end.
type span struct{ n, side, length int }

// at is where tile i begins. Tiles keep the same distance from both ends, so a
// picture turned round is cut in the same places (the middle one, where a pixel is
// left over, to a pixel).
func (s span) at(i int) int {
	if mirrored := s.n - 1 - i; i > mirrored {
		return s.length - s.side - s.at(mirrored)
	}
	return (2*i+1)*(s.length-s.side*s.n)/(2*s.n) + i*s.side
}

// columns are where the tiles lie, from and to.
func (s span) columns() [][2]int {
	all := make([][2]int, s.n)
	for i := range all {
		all[i] = [2]int{s.at(i), s.at(i) + s.side}
	}
	return all
}

// lattice spreads tiles over a picture of w x h.
func lattice(w, h int) (across, down span) {
	// The distance between tiles' centres that makes maxTiles of them.
	pitch := max(tileSide, math.Sqrt(float64(w)*float64(h)/maxTiles))
	along := func(length int) span {
		n := max(1, int(float64(length)/pitch))
		return span{n: min(n, maxTiles), side: min(tileSide, length), length: length}
	}
	return along(w), along(h)
}

// readTiles reads the lattice's tiles, row by row of the picture so that each
// row is decoded once.
func readTiles(p page) []tile {
	across, down := lattice(p.w, p.h)
	tiles := make([]tile, across.n*down.n)
	area := across.side * down.side
	inParallel(down.n, func() func(int) {
		reader, row := p.reader(), make([]float32, p.w)
		return func(j int) {
			line, pix := tiles[j*across.n:][:across.n], make([]float32, across.n*area)
			for i := range line {
				line[i] = tile{across.side, down.side, pix[i*area:][:area]}
			}
			for y := range down.side {
				reader.read(down.at(j)+y, row)
				for i := range line {
					copy(line[i].pix[y*across.side:][:across.side], row[across.at(i):])
				}
			}
		}
	})
	return tiles
}

// The weights of luma: ITU-R BT.601.
const (
	lumaR = 0.299
	lumaG = 0.587
	lumaB = 0.114
)

// luma weighs the channels of encoded values. Ink is first taken for light as
// if each ink were perfect, R = (1-C)(1-K): rough, but noise and edges need no
// colorimetry.
func luma(dst []float32, ch [][]float32) {
	switch len(ch) {
	case 1:
		copy(dst, ch[0])
	case 3:
		r, g, b := ch[0][:len(dst)], ch[1][:len(dst)], ch[2][:len(dst)]
		for x := range dst {
			dst[x] = float32(lumaR*r[x]) + float32(lumaG*g[x]) + float32(lumaB*b[x])
		}
	case 4:
		c, m, y, k := ch[0][:len(dst)], ch[1][:len(dst)], ch[2][:len(dst)], ch[3][:len(dst)]
		for x := range dst {
			ink := float32(lumaR*c[x]) + float32(lumaG*m[x]) + float32(lumaB*y[x])
			dst[x] = (1 - ink) * (1 - k[x])
		}
	}
}

// rounding is the variance that rounding to whole steps gave to luma: 1/12 of a
// step squared (W. F. Sheppard, 1898), in each channel apart. A JPEG rounds luma
// itself, but is hardly told from this.
func rounding(src *photo.Photo) float64 {
	step := 1.0 / 255
	if src.Bits == 16 {
		step = 1.0 / 65535
	}
	v := step * step / 12
	if src.Model == photo.Grey {
		return v
	}
	return v * (lumaR*lumaR + lumaG*lumaG + lumaB*lumaB)
}
