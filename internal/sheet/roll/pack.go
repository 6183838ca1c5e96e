package roll

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Pack places items on the roll in the least length it can find. Items that do not fit are
// in Unplaced with the reason, all of them if the roll's own measurements are impossible;
// the others are placed. It takes under a second for 200 items.
func Pack(items []Item, r Roll) Plan {
	p := Plan{Roll: r, Runs: []Run{}, Unplaced: []Unplaced{}}
	if fault := r.fault(); fault != "" {
		for _, i := range items {
			p.Unplaced = append(p.Unplaced, Unplaced{i.ID, badRoll(fault)})
		}
		return p
	}
	g := newGauge(r)
	var placed []Item
	for _, i := range items {
		c, why := g.cell(i)
		if why != "" {
			p.Unplaced = append(p.Unplaced, Unplaced{i.ID, why})
			continue
		}
		placed = append(placed, i)
		g.task.cells = append(g.task.cells, c)
	}
	g.limit()
	for _, spots := range g.task.pack() {
		p.Runs = append(p.Runs, g.run(placed, spots))
	}
	p.sum(g.bound())
	return p
}

// Before puts runs that are on paper already before those of a plan, with their cuts. Their
// pieces may lie off by up to rounding, in mm, as those of a file do.
func (p *Plan) Before(runs []Run, rounding float64) {
	for i := range runs {
		r := &runs[i]
		r.WidthMM, r.LengthMM, r.Cuts = p.Roll.WidthMM, 0, []Cut{}
		for _, piece := range r.Pieces {
			r.LengthMM = max(r.LengthMM, piece.Y+piece.Height+p.Roll.Trailing)
		}
		slices.SortStableFunc(r.Pieces, func(a, b Piece) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) })
		r.cutPart(part{0, 0, r.WidthMM, r.LengthMM, r.Pieces}, p.Roll.GapMM-rounding, true)
	}
	bound := p.LowerBoundMM
	for _, r := range runs {
		bound += r.LengthMM
	}
	p.Runs, p.LengthMM, p.AreaMM2 = slices.Concat(runs, p.Runs), 0, 0
	p.sum(bound)
}

// sum fills in the totals.
func (p *Plan) sum(bound float64) {
	for _, r := range p.Runs {
		p.LengthMM += r.LengthMM
		for _, i := range r.Pieces {
			p.AreaMM2 += float64(i.Width * i.Height)
		}
	}
	if p.LengthMM > 0 {
		paper := float64(p.LengthMM * p.Roll.WidthMM)
		p.WasteMM2 = paper - p.AreaMM2
		p.WasteShare = p.WasteMM2 / paper
	}
	p.LowerBoundMM = min(bound, p.LengthMM)
}

// fault describes what is impossible about a roll's measurements, "" for nothing.
func (r Roll) fault() string {
	for _, m := range []struct {
		name     string
		mm, most float64
	}{
		{"width", r.WidthMM, mostWidthMM}, {"left margin", r.Left, mostWidthMM}, {"right margin", r.Right, mostWidthMM},
		{"trim lane", r.LaneMM, mostWidthMM}, {"gap", r.GapMM, mostWidthMM}, {"leading margin", r.Leading, mostMM},
		{"trailing margin", r.Trailing, mostMM}, {"maximum length", r.MaxLengthMM, mostMM},
	} {
		if !(m.mm >= 0 && m.mm <= m.most) {
			return fmt.Sprintf("its %s is %v mm, which is not from 0 to %v", m.name, m.mm, mm(m.most))
		}
	}
	switch {
	case unitsDown(r.UsableMM()) <= 0:
		return fmt.Sprintf("its margins and lanes take %s of its %s width", mm(r.WidthMM-r.UsableMM()), mm(r.WidthMM))
	case r.MaxLengthMM > 0 && unitsDown(r.MaxLengthMM-r.Leading-r.Trailing) <= 0:
		return fmt.Sprintf("the leading and trailing margins take %s of a run's %s", mm(r.Leading+r.Trailing), mm(r.MaxLengthMM))
	}
	return ""
}

// A gauge converts items to cells and spots to pieces.
type gauge struct {
	roll Roll
	gap  int64
	ends int64 // by how much a run is longer than its cells
	task task
}

func newGauge(r Roll) *gauge {
	gap := unitsUp(r.GapMM)
	g := &gauge{roll: r, gap: gap}
	g.task.width = unitsDown(r.UsableMM()) + gap
	g.ends = unitsUp(r.Leading+r.Trailing) - gap
	g.task.perRun = max(0, g.ends)
	g.task.most = math.MaxInt64
	if r.MaxLengthMM > 0 {
		g.task.most = unitsDown(r.MaxLengthMM-r.Leading-r.Trailing) + gap
	}
	return g
}

// bound returns the lower bound of the task in millimetres. If a gap is longer than both
// ends of a run together, more runs would take less paper; no run is begun for that
// reason, but the bound allows for it.
func (g *gauge) bound() float64 {
	return toMM(g.task.bound() + min(0, g.ends)*int64(len(g.task.cells)))
}

// limit gives runs without a limit a height to calculate with: all cells one after the
// other.
func (g *gauge) limit() {
	if g.roll.MaxLengthMM > 0 {
		return
	}
	g.task.most = 0
	for _, c := range g.task.cells {
		g.task.most += max(c.w, c.h)
	}
}

// cell returns an item grown by the gap, or the sentence that says why it does not fit.
func (g *gauge) cell(i Item) (cell, string) {
	for _, side := range [2]float64{i.WidthMM, i.HeightMM} {
		if !(side > 0 && side <= mostMM) {
			return cell{}, badItem(i)
		}
	}
	c := cell{shape: shape{max(1, unitsUp(i.WidthMM)) + g.gap, max(1, unitsUp(i.HeightMM)) + g.gap}}
	space := shape{g.task.width, g.task.most}
	c.upright = c.shape.fits(space)
	turned := c.turn().fits(space)
	c.turned = i.MayTurn && turned
	switch {
	case c.upright || c.turned:
		return c, ""
	case turned:
		return c, notTurned(i)
	case c.w > space.w && (c.h > space.w || !i.MayTurn):
		return c, tooWide(i, g.roll.UsableMM())
	}
	return c, tooLong(i, g.roll.MaxLengthMM-g.roll.Leading-g.roll.Trailing)
}

// run makes a run from its spots.
func (g *gauge) run(items []Item, spots []spot) Run {
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.x, b.x)) })
	run := Run{
		WidthMM:  g.roll.WidthMM,
		LengthMM: g.roll.Leading + toMM(height(spots)-g.gap) + g.roll.Trailing,
		Cuts:     []Cut{},
	}
	for _, s := range spots {
		run.Pieces = append(run.Pieces, g.piece(items[s.cell], s))
	}
	run.cut(g.roll.GapMM)
	return run
}

func (g *gauge) piece(i Item, s spot) Piece {
	p := Piece{
		ID: i.ID, X: g.roll.Left + g.roll.LaneMM + toMM(s.x), Y: g.roll.Leading + toMM(s.y),
		Width: i.WidthMM, Height: i.HeightMM, Turned: s.turned,
	}
	if s.turned {
		p.Width, p.Height = p.Height, p.Width
	}
	return p
}
