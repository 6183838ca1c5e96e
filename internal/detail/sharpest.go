package detail

import (
	"cmp"
	"math"
	"slices"

	"sizewright/internal/exact"
)

// House judgement, no source: which places are the sharpest.
const (
	cellSide     = 64      // px
	leastCells   = 4       // fewer tell nothing of a picture
	fewCells     = 400     // side by side: where there are fewer they overlap by half, so that it matters little where they lie
	finestShare  = 1. / 20 // of all cells: those with the most fine detail
	finestLeast  = 16      // and no fewer, where there are so many
	likeFinest   = 1. / 20 // of the fine detail of the third finest: less is another thing
	sharpQuarter = 3. / 4  // of those, this share is softer than the picture, about
	wellFound    = 0.5     // of the grid: what ends sooner is looked at again, averaged by two,
	hardlyFound  = 0.4     // and what ends sooner than this is read there alone
	seenAgain    = 4. / 3  // times what was found of it before, and no more
	averaged     = 0.95    // of where an averaged picture seems to end, so that a Gaussian of sigma leaves 0.5/sigma
	grainMost    = 6.0     // times the floor, that a tile's own noise may have; more is a texture
	fallFirst    = 3       // rings, over which the fall is read
	fallLast     = 9       //
	fallTrusted  = 1. / 2  // of what the fall differs from the usual
	leastFall    = 4. / 3  // less is taken for that
	mostFall     = 10. / 3 // and more
)

// sharpest is the true resolution of a page, as a share of its grid: that of its
// sharpest places, for the rest may be soft on purpose; 0 if nothing tells. fall is how
// the power of those places falls. f is the floor of tiles of side px.
func (p page) sharpest(f floor, side int) (resolution, fall float64) {
	fall = usualFall
	logarithm, trust := 0.0, 1.0 // of the resolution, and in what is still to be read: no reading takes over at once
	for scale := 1; trust > 0; scale *= 2 {
		if scale > 1 {
			p = p.halved()
		}
		c := p.cells()
		if scale > 1 && len(c.fine) < leastCells {
			break
		}
		found := c.finest(p, scale, f.reduced(side, c.side, scale))
		if len(found) == 0 {
			break
		}
		own := fallOf(found)
		end := endOf(found, own, scale)
		if scale == 1 {
			resolution, fall = end, own
		} else {
			resolution = min(float64(averaged*end)/float64(scale), float64(seenAgain*resolution))
		}
		again := min(1, max(0, (wellFound-end)/(wellFound-hardlyFound)))
		logarithm, trust = logarithm+float64(trust*(1-again)*exact.Log(resolution)), trust*again
	}
	if resolution == 0 {
		return 0, fall
	}
	return exact.Exp(logarithm + float64(trust*exact.Log(resolution))), fall
}

// reduced is the floor of tiles of from px in cells of to px, in a picture averaged so
// many times.
func (f floor) reduced(from, to, scale int) floor {
	r := floor{make([]float64, to/2+1), f.dark}
	for i := range r.ring {
		at := min(len(f.ring)-1, max(1, int(math.Round(float64(i*from)/float64(to*scale)))))
		r.ring[i] = f.ring[at] / float64(scale*scale)
	}
	return r
}

// cells are squares side by side over the whole picture, with the mean square of
// the second difference in each: the fine detail.
type cells struct {
	side         int
	across, down []int
	fine         []float64
}

// starts are where squares begin, the same in a mirrored picture: where a pixel would be
// left over, no square lies in the middle. close has each overlap the next by half.
func starts(length, side int, close bool) []int {
	n := length / side
	if close {
		n = 2*n - 1
	}
	if n > 1 && n%2 == 1 && (length-side)%2 == 1 {
		n--
	}
	at := make([]int, n)
	for i := range n {
		at[i] = span{n, side, length}.at(i)
		if close && n > 1 {
			at[i] = min(i, n-1-i) * (length - side) / (n - 1)
			if 2*i >= n {
				at[i] = length - side - at[i]
			}
		}
	}
	return at
}

func (p page) cells() cells {
	side := max(1, squareSide(min(p.w, p.h, cellSide)))
	close := (p.w/side)*(p.h/side) < fewCells
	c := cells{side: side, across: starts(p.w, side, close), down: starts(p.h, side, close)}
	c.fine = make([]float64, len(c.across)*len(c.down))
	inParallel(len(c.down), func() func(int) {
		read := p.reader()
		var rows [3][]float32
		for i := range rows {
			rows[i] = make([]float32, p.w)
		}
		return func(j int) {
			fine := c.fine[j*len(c.across):][:len(c.across)]
			for y := range side {
				rows[0], rows[1], rows[2] = rows[1], rows[2], rows[0]
				read.read(c.down[j]+y, rows[2])
				if y < 2 {
					continue
				}
				for i := range fine {
					fine[i] += secondDifferences(rows, c.across[i], side)
				}
			}
		}
	})
	return c
}

// secondDifferences is the sum of their squares along a cell's row.
func secondDifferences(rows [3][]float32, from, side int) float64 {
	above, row, below := rows[0][from:][:side], rows[1][from:][:side], rows[2][from:][:side]
	sum := float32(0)
	for x := 1; x < side-1; x++ {
		v := above[x] + below[x] + row[x-1] + row[x+1] - float32(4*row[x])
		sum += float32(v * v)
	}
	return float64(sum)
}

// sharpPlace is one of the sharpest cells: its power, the floor under it, how much
// fine detail and contrast it has over that, and what a JPEG stored of it, if any.
type sharpPlace struct {
	ring, under []float64
	fine, level float64
	blocks      *blockPower
}

// finest are the cells with the most fine detail that have anything to tell.
func (c cells) finest(p page, scale int, f floor) []sharpPlace {
	order, side := make([]int, len(c.fine)), c.side
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(c.fine[b], c.fine[a]) })
	order = order[:min(len(order), max(finestLeast, int(finestShare*float64(len(order)))))]
	places := make([]sharpPlace, len(order))
	inParallel(len(c.down), func() func(int) {
		read, transform, strip := p.reader(), newTransformer(side, scale), make([]float32, side*p.w)
		return func(j int) {
			top, isRead := c.down[j], false
			for i, at := range order {
				if at/len(c.across) != j {
					continue
				}
				for y := 0; y < side && !isRead; y++ {
					read.read(top+y, strip[y*p.w:][:p.w])
				}
				isRead = true
				left := c.across[at%len(c.across)]
				t := transform.of(strip[left:], p.w)
				places[i] = transform.rings.placeOf(&t, f)
				if p.blocks != nil {
					b := p.blocks.of(strip[left:], p.w, side, left, top)
					places[i].blocks = &b
				}
			}
		}
	})
	slices.SortStableFunc(places, func(a, b sharpPlace) int { return cmp.Compare(b.fine, a.fine) })
	like := max(math.SmallestNonzeroFloat64, float64(likeFinest*places[min(2, len(places)-1)].fine))
	return places[:len(places)-countUnder(places, like)]
}

// beneath is the floor under a tile, by ring: the picture's, or the tile's own noise
// where that is somewhat more, as grain is in mid tones.
func (f floor) beneath(t *power) []float64 {
	mean := make([]float64, len(f.ring))
	for r := range mean {
		for _, v := range t.ring[r*sectors:][:sectors] {
			mean[r] += float64(v / sectors)
		}
	}
	under, most := noiseIn(mean), float64(grainMost*slices.Max(f.ring[len(f.ring)/4:]))
	for r, v := range f.ring {
		under[r] = f.under(t) * max(v, min(most, under[r]/f.under(t)))
	}
	return under
}

// placeOf has no fine detail if the tile has nothing to tell.
func (m *ringMap) placeOf(t *power, f floor) sharpPlace {
	p := sharpPlace{ring: t.ring, under: f.beneath(t)}
	if !m.tells(p.ring, p.under) {
		return p
	}
	for r := 2; r < len(p.under); r++ {
		over := max(0, overFloor(p.ring, p.under, r))
		p.level += float64(over * float64(r*r))
		p.fine += float64(over * exact.Pow(float64(r), 5))
	}
	return p
}

func countUnder(places []sharpPlace, fine float64) (n int) {
	for _, p := range places {
		if p.fine < fine {
			n++
		}
	}
	return n
}

// fallOf is the power of frequency that the places' power falls with where blur has
// hardly begun, the median; half trusted, since a place has few long waves.
func fallOf(places []sharpPlace) float64 {
	falls := make([]float64, len(places))
	for i, p := range places {
		power := make([]float64, fallLast+1)
		for r := fallFirst; r <= fallLast; r++ {
			power[r] = max(overFloor(p.ring, p.under, r), math.SmallestNonzeroFloat64)
		}
		falls[i] = fallBetween(power, fallFirst, fallLast)
	}
	slices.Sort(falls)
	fall := min(mostFall, max(leastFall, falls[len(falls)/2]))
	return 2 + float64(fallTrusted*(fall-usualFall))
}

// endOf is where the sharper of the places end, as a share of the grid.
func endOf(places []sharpPlace, fall float64, scale int) float64 {
	all := make([]raised, len(places))
	for i, p := range places {
		all[i] = raisedOf(p.ring, p.under, fall, scale)
	}
	return min(stored(places), endOfAll(all))
}
