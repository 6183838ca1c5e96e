package colour

// A miss can be measured that nobody sees. The numbers below are house judgement, no
// source. They were chosen on a hundred photographs so that ordinary ones have almost
// no visible miss through the profiles of a press and of a printer, and vivid flowers
// have much: see TestOrdinaryPhotographsFitThePaper.
const (
	// tilesAcross is the number of tiles along the picture's long side. On A2 a tile is
	// about 12 mm. A mean over a tile hides noise and single pixels.
	tilesAcross = 48
	// darkLightness is the lightness below which a colour is dark.
	darkLightness = 35
	// vividChroma is the chroma from which a colour is vivid. Vivid colours attract the
	// eye, and CIEDE2000 rates differences between them low (its S_C): see
	// [VividWeight].
	vividChroma = 45
)

// VividWeight is the weight of a vivid colour's miss.
const VividWeight = 1.25

// isDepth reports whether a dark, not vivid colour becomes lighter. All paper lacks the
// depth of a screen, and the eye accepts the darkest colour it sees as dark. So a
// change of lightness of such a colour is not a miss.
func isDepth(asked, got Lab) bool {
	return asked[0] < darkLightness && got[0] > asked[0] && asked.Chroma() < vividChroma
}

// withoutDepth returns got without the loss of depth.
func withoutDepth(asked, got Lab) Lab {
	if isDepth(asked, got) {
		got[0] = asked[0]
	}
	return got
}

// seenMiss returns the CIEDE2000 difference without the loss of depth.
func seenMiss(asked, got Lab) float64 { return deltaE(asked, withoutDepth(asked, got)) }

// judge weights a miss for the eye.
func judge(asked Lab, seen float64) float64 {
	if asked.Chroma() >= vividChroma {
		return VividWeight * seen
	}
	return seen
}

// tiling divides the lattice into tiles.
type tiling struct {
	across, down int
}

func (m *Measurement) tiling() tiling {
	long := max(m.cols, m.rows)
	tiles := func(n int) int { return max(1, min(n, (n*tilesAcross+long/2)/long)) }
	return tiling{tiles(m.cols), tiles(m.rows)}
}

// at returns the tile of a lattice point.
func (t tiling) at(m *Measurement, x, y int) int {
	return y*t.down/m.rows*t.across + x*t.across/m.cols
}

// around returns a tile's neighbours, including the diagonal ones.
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

// view holds what a person sees of the misses. The visible miss of a point is that of
// its own colour, but at most the miss of the mean colour of its tile or of a
// neighbouring tile, since objects end within tiles.
type view struct {
	seen tally
	mean []float64 // by tile
}

func (v *view) miss(c *converted, tile int) float64 { return min(float64(c.judged), v.mean[tile]) }

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

// meanMisses returns, for each tile, the largest miss of mean colours among the tile
// and its neighbours.
func (m *Measurement) meanMisses(t tiling) []float64 {
	tiles := make([]cluster, t.across*t.down)
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
