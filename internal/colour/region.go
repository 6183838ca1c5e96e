package colour

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"slices"
)

// Regions are found on tiles (see tiling). Within a tile, colours are grouped by hue,
// in 24 sectors of 15 degrees and one for greys, so that red stalks in green grass are
// not averaged to a brown that is not in the picture. A region grows from the worst
// cell of tile and sector to neighbouring tiles and to the sectors within two of its
// own, so similar hues are those within 37 degrees.
const (
	sectors     = 24
	likeSectors = 2
	maxRegions  = 5
	// minOfWorst is the share of the worst region's total miss below which a region
	// is left out.
	minOfWorst = 0.02
)

// cluster is the sum of some of the picture's lattice points that miss.
type cluster struct {
	pixels     int
	miss       float64
	asked, got Lab
	box        image.Rectangle // lattice points
}

func (p *cluster) add(c *converted, x, y int) {
	p.pixels++
	p.miss += float64(c.seen)
	for i := range 3 {
		p.asked[i] += float64(c.asked[i])
		p.got[i] += float64(c.got[i])
	}
	p.box = p.box.Union(image.Rect(x, y, x+1, y+1))
}

// means returns the mean of the colours before and after conversion.
func (p *cluster) means() (asked, got Lab) {
	for i := range 3 {
		asked[i], got[i] = p.asked[i]/float64(p.pixels), p.got[i]/float64(p.pixels)
	}
	return asked, got
}

func (p *cluster) join(q *cluster) {
	p.pixels += q.pixels
	p.miss += q.miss
	for i := range 3 {
		p.asked[i] += q.asked[i]
		p.got[i] += q.got[i]
	}
	p.box = p.box.Union(q.box)
}

// survey holds the misses by tile and hue sector.
type survey struct {
	tiling
	size  float64   // mean number of lattice points per tile
	cells []cluster // sectors+1 for each tile
	taken []bool
}

// survey sums the points for which counts returns true.
func (m *Measurement) survey(counts func(c *converted, tile int) bool) *survey {
	s := &survey{tiling: m.tiling()}
	s.size = float64(m.cols*m.rows) / float64(s.across*s.down)
	s.cells = make([]cluster, s.across*s.down*(sectors+1))
	s.taken = make([]bool, len(s.cells))
	for y := range m.rows {
		for x := range m.cols {
			c := &m.colours[m.sample[y*m.cols+x]]
			if tile := s.at(m, x, y); counts(c, tile) {
				s.cells[tile*(sectors+1)+sectorOf(c.asked)].add(c, x, y)
			}
		}
	}
	return s
}

func sectorOf(asked [3]float32) int {
	c, h := polar(float64(asked[1]), float64(asked[2]))
	if c < greyChroma {
		return sectors
	}
	return int(h*sectors/360) % sectors
}

// like returns the cells of a tile with hues similar to a sector's.
func (s *survey) like(tile, sector int) (cells []int) {
	if sector == sectors {
		return []int{tile*(sectors+1) + sectors}
	}
	for d := -likeSectors; d <= likeSectors; d++ {
		cells = append(cells, tile*(sectors+1)+(sector+d+sectors)%sectors)
	}
	return cells
}

// share returns the share of a tile that misses in hues similar to a sector's.
func (s *survey) share(tile, sector int) float64 {
	n := 0
	for _, c := range s.like(tile, sector) {
		if !s.taken[c] {
			n += s.cells[c].pixels
		}
	}
	return float64(n) / s.size
}

// goodShare returns the share of a tile that must miss for the tile to belong to a
// region: an eighth, or half of the share of the worst tile if that is less, so that
// fine stalks are found as well as flat colour.
func (s *survey) goodShare() float64 {
	best := 0.0
	for i := range s.cells {
		if s.cells[i].pixels > 0 {
			best = max(best, s.share(i/(sectors+1), i%(sectors+1)))
		}
	}
	return min(1.0/8, best/2)
}

// grow collects the cells that belong to a starting cell.
func (s *survey) grow(seed int, good float64) (p cluster) {
	sector := seed % (sectors + 1)
	seen := map[int]bool{seed / (sectors + 1): true}
	for queue := []int{seed / (sectors + 1)}; len(queue) > 0; queue = queue[1:] {
		tile := queue[0]
		for _, c := range s.like(tile, sector) {
			if !s.taken[c] {
				p.join(&s.cells[c])
				s.taken[c] = true
			}
		}
		for _, next := range s.around(tile) {
			if !seen[next] && s.share(next, sector) >= good {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return p
}

// counted returns which points regions consist of: those that a person sees to miss, by
// the largest limit that at least a pixel in a thousand exceeds. If nobody sees any
// miss in the picture, they are the pixels that miss by more than 3, or by more than 1
// if fewer than one in a thousand miss by more than 3. Loss of depth never counts.
func (m *Measurement) counted(v *view) func(c *converted, tile int) bool {
	const worthALine = 0.001
	n := float64(len(m.sample))
	for i, limit := range slices.Backward(limits[:]) {
		if float64(v.seen.beyond[i]) >= worthALine*n {
			return func(c *converted, tile int) bool { return v.miss(c, tile) > limit }
		}
	}
	beyond, pixels := float32(1), 0
	for _, c := range m.colours {
		if c.seen > 3 {
			pixels += int(c.pixels)
		}
	}
	if float64(pixels) >= worthALine*n {
		beyond = 3
	}
	return func(c *converted, tile int) bool { return c.seen > beyond }
}

// regions finds the worst few regions. The worst has the greatest sum of misses over
// its pixels.
func (m *Measurement) regions(v *view) []Region {
	s := m.survey(m.counted(v))
	good := s.goodShare()
	seeds := make([]int, 0, len(s.cells))
	for i := range s.cells {
		if s.cells[i].pixels > 0 {
			seeds = append(seeds, i)
		}
	}
	slices.SortStableFunc(seeds, func(a, b int) int { return cmp.Compare(s.cells[b].miss, s.cells[a].miss) })
	var found []cluster
	for _, seed := range seeds {
		if !s.taken[seed] && s.share(seed/(sectors+1), seed%(sectors+1)) >= good {
			found = append(found, s.grow(seed, good))
		}
	}
	slices.SortStableFunc(found, func(a, b cluster) int { return cmp.Compare(b.miss, a.miss) })
	regions := []Region{} // "[]" in JSON
	for _, p := range found[:min(len(found), maxRegions)] {
		if p.miss >= minOfWorst*found[0].miss {
			regions = append(regions, m.region(p))
		}
	}
	return regions
}

// region describes a cluster in words and source pixels.
func (m *Measurement) region(p cluster) Region {
	n := float64(p.pixels)
	p.asked, p.got = p.means()
	x, y := p.box.Min.X*m.width/m.cols, p.box.Min.Y*m.height/m.rows
	r := Region{
		X: x, Y: y,
		Width:  p.box.Max.X*m.width/m.cols - x,
		Height: p.box.Max.Y*m.height/m.rows - y,
		Share:  n / float64(len(m.sample)),
		DeltaE: p.miss / n,
		Asked:  p.asked, Got: p.got,
		Hue: hueName(p.asked),
	}
	var what string
	r.Loses, what = loss(p.asked, p.got)
	r.Text = fmt.Sprintf("%s, %s of the picture, misses by %.1f on average: %s", r.Hue, percent(r.Share), r.DeltaE, what)
	return r
}

// loss names the largest of the three terms of CIEDE2000 and describes the change. Loss
// of depth is named only if there is no other loss.
func loss(asked, got Lab) (loses, words string) {
	seen := withoutDepth(asked, got)
	if seen == asked {
		seen = got
	}
	dL, dC, dH := difference(asked, seen)
	dL, dC, dH = math.Abs(dL), math.Abs(dC), math.Abs(dH)
	switch {
	case dC >= dL && dC >= dH:
		return "chroma", fmt.Sprintf("it %s chroma (%.0f to %.0f)", losesOrGains(asked.Chroma(), got.Chroma()), asked.Chroma(), got.Chroma())
	case dL >= dH:
		way := "comes out lighter"
		if got[0] < asked[0] {
			way = "comes out darker"
		}
		return "lightness", fmt.Sprintf("it %s (lightness %.0f to %.0f)", way, asked[0], got[0])
	}
	return "hue", fmt.Sprintf("its hue turns (%.0f to %.0f degrees)", asked.Hue(), got.Hue())
}

func losesOrGains(from, to float64) string {
	if to > from {
		return "gains"
	}
	return "loses"
}

func percent(share float64) string {
	if share < 0.0005 {
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100*share)
}
