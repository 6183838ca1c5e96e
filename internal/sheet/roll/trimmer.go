package roll

// A rect is a part of a run in millimetres.
type rect struct{ x0, y0, x1, y1 float64 }

// cut gives a run its cuts. They go through the middle of gaps, or half a gap past
// a print where there is more room; a part at the run's own edge has that edge.
func (g *gauge) cut(run *Run, whole box) {
	c := cutter{task: &g.task}
	if !c.part(whole, true) {
		panic("roll: a packer made what a trimmer cannot cut") // never: see the packers
	}
	for n, l := range c.lines {
		p := g.rect(run, whole, l.part)
		cut := Cut{Number: n + 1}
		if l.across {
			at := g.y(l.at)
			cut.Direction, cut.AtMM, cut.FromMM, cut.ToMM, cut.MeasureMM = Across, at, p.x0, p.x1, at-p.y0
		} else {
			at := g.x(l.at)
			cut.Direction, cut.AtMM, cut.FromMM, cut.ToMM, cut.MeasureMM = Along, at, p.y0, p.y1, at-p.x0
		}
		run.Cuts = append(run.Cuts, cut)
	}
	run.Trims = g.trims(run, whole, c.parts)
}

// x and y are where an edge of a cell lies on the run.
func (g *gauge) x(units int64) float64 {
	return g.roll.Left + g.roll.LaneMM + toMM(units) - float64(toMM(g.gap)/2)
}

func (g *gauge) y(units int64) float64 { return g.roll.Leading + toMM(units) - float64(toMM(g.gap)/2) }

// rect is a part of a run, margins included.
func (g *gauge) rect(run *Run, whole, part box) rect {
	r := rect{0, 0, run.WidthMM, run.LengthMM}
	if part.x0 > whole.x0 {
		r.x0 = g.x(part.x0)
	}
	if part.x1 < whole.x1 {
		r.x1 = g.x(part.x1)
	}
	if part.y0 > whole.y0 {
		r.y0 = g.y(part.y0)
	}
	if part.y1 < whole.y1 {
		r.y1 = g.y(part.y1)
	}
	return r
}

// flush is how near an edge is to be the same: between what rounding to units makes
// and a gap of two.
const flush = 1.75 / perMM

// trims counts the sides of parts that are not their print's edge yet. parts are
// those of whole's spots, in another order.
func (g *gauge) trims(run *Run, whole box, parts []box) int {
	place := map[int]int{}
	for k, s := range whole.spots {
		place[s.cell] = k
	}
	n := 0
	for _, b := range parts {
		if len(b.spots) == 0 {
			continue
		}
		p, r := run.Pieces[place[b.spots[0].cell]], g.rect(run, whole, b)
		for _, d := range [4]float64{p.X - r.x0, p.Y - r.y0, r.x1 - p.X - p.Width, r.y1 - p.Y - p.Height} {
			if d > flush {
				n++
			}
		}
	}
	return n
}
