package colour

// What a person sees of the misses is not what the pixels add up to. The numbers
// below are house judgement, no source; they were chosen on a hundred photographs, so
// that ordinary ones through a press profile and through a printer's have hardly any
// seen miss, and vivid flowers have much: see TestOrdinaryPhotographsFitThePaper.
const (
	// tilesAcross is how many tiles the picture's long side has: some 12 mm on
	// an A2. Noise and odd pixels are gone from a mean over one.
	tilesAcross = 48
	// A colour below this lightness is dark.
	darkLightness = 35
	// A colour from this chroma on is vivid. It is looked at for that, and
	// CIEDE2000 sets differences of vivid colours low (its S_C): see [VividWeight].
	vividChroma = 45
)

// VividWeight is how much more than its CIEDE2000 a vivid colour's miss counts.
const VividWeight = 1.25

// isDepth tells of a dark colour, not a vivid one, that comes out lighter. All
// paper lacks the depth of a screen, and the eye takes the darkest it is shown for
// dark: in its lightness such a colour does not miss.
func isDepth(asked, got Lab) bool {
	return asked[0] < darkLightness && got[0] > asked[0] && asked.Chroma() < vividChroma
}

func withoutDepth(asked, got Lab) Lab {
	if isDepth(asked, got) {
		got[0] = asked[0]
	}
	return got
}

// seenMiss is the difference but for depth, in CIEDE2000.
func seenMiss(asked, got Lab) float64 { return DeltaE(asked, withoutDepth(asked, got)) }

// judge is what a miss weighs to the eye.
func judge(asked Lab, seen float64) float64 {
	if asked.Chroma() >= vividChroma {
		return VividWeight * seen
	}
	return seen
}

// tiling lays tiles over the lattice.
type tiling struct {
	across, down int
}

func (m *Measurement) tiling() tiling {
	long := max(m.cols, m.rows)
	tiles := func(n int) int { return max(1, min(n, (n*tilesAcross+long/2)/long)) }
	return tiling{tiles(m.cols), tiles(m.rows)}
}

// at is the tile of a lattice point.
func (t tiling) at(m *Measurement, x, y int) int {
	return y*t.down/m.rows*t.across + x*t.across/m.cols
}

// around lists a tile's neighbours, corners too.
func (t tiling) around(tile int) (tiles []int) {
	x, y := tile%t.across, tile/t.across
	for v := max(y-1, 0); v <= min(y+1, t.down-1); v++ {
		for u := max(x-1, 0); u <= min(x+1, t.across-1); u++ {
			if u != x || v != y {
				tiles = append(tiles, v*t.across+u)
			}
		}
	}
	return tiles
}

// view is what a person sees of the misses. A point is seen to miss by as much as
// its own colour does, but by no more than the mean colour of the place where it
// lies: a tile, or the tile beside it, since things end within tiles.
type view struct {
	seen tally
	mean []float64 // by tile
}

func (v *view) miss(c *reached, tile int) float64 { return min(float64(c.judged), v.mean[tile]) }

func (m *Measurement) view() *view {
	t := m.tiling()
	v := &view{mean: m.meanMisses(t)}
	for y := range m.rows {
		for x := range m.cols {
			v.seen.count(v.miss(&m.colours[m.sample[y*m.cols+x]], t.at(m, x, y)), 1)
		}
	}
	return v
}

// meanMisses judges, for each tile, the mean of what was asked there against the
// mean of what was got, and gives the largest of it and its neighbours.
func (m *Measurement) meanMisses(t tiling) []float64 {
	tiles := make([]place, t.across*t.down)
	for y := range m.rows {
		for x := range m.cols {
			tiles[t.at(m, x, y)].add(&m.colours[m.sample[y*m.cols+x]], x, y)
		}
	}
	own, largest := make([]float64, len(tiles)), make([]float64, len(tiles))
	for i := range tiles {
		asked, got := tiles[i].means()
		own[i] = judge(asked, seenMiss(asked, got))
	}
	for i := range largest {
		largest[i] = own[i]
		for _, k := range t.around(i) {
			largest[i] = max(largest[i], own[k])
		}
	}
	return largest
}
