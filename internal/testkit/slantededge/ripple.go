package slantededge

import (
	"fmt"
	"math"
)

// Ripples is how evenly a thin line runs: beads along it are its height
// changing, stair-steps its middle wandering.
type Ripples struct {
	Mean   float64 // mean height of the crest over the ground, negative for a dark line
	Height float64 // standard deviation of that height over its mean, 0 or more
	Wander float64 // standard deviation of the middle from its own straight line, px along the normal
	Rows   int     // rows measured (columns, of a line nearer flat)
}

// minCuts is the smallest number of rows for a usable standard deviation.
const minCuts = 16

// Ripple follows a thin line at the angle given (degrees clockwise from
// vertical, as for [Ridge]) past the middle of a plane of w*h values, light or
// dark on an even ground. In each row (each column, of a line nearer flat) it
// takes the highest pixel within reach px of where the line should be, and the
// crest from it and its neighbours. Rows within reach of the picture's border
// are left out. The ground is the plane's median.
//
// The crest between pixels is the vertex of a parabola through the logarithms
// of three, which is exact for a sampled Gaussian; see the tests for how even a
// perfect line measures. Thinner than a sigma of 0.7 px a pixel grid cannot
// hold a line evenly, and what is measured is the grid.
//
// It fails with [ErrNoLine] or [ErrPlane].
func Ripple(plane []float64, w, h int, angle, reach float64) (Ripples, error) {
	if err := checkPlane(plane, w, h); err != nil {
		return Ripples{}, err
	}
	ground := median(plane)
	u := upright{plane: make([]float64, len(plane)), w: w, h: h}
	sign := math.Copysign(1, mean(plane)-ground)
	for i, v := range plane {
		u.plane[i] = (v - ground) * sign
	}
	if angle = fold(angle); math.Abs(angle) > 45 {
		u, angle = u.turn(), fold(90-angle)
	}
	r, err := u.ripples(angle, reach)
	r.Mean *= sign
	return r, err
}

// ripples measures a light line on a ground of zero.
func (u upright) ripples(angle, reach float64) (Ripples, error) {
	var middles points
	var heights []float64
	slope := -math.Tan(angle * math.Pi / 180)
	for i := range u.h {
		y := float64(i) + 0.5
		expected := float64(u.w)/2 + slope*(y-float64(u.h)/2)
		if clear := min(y, float64(u.h)-y, expected-1, float64(u.w-1)-expected); !(clear > reach) {
			continue
		}
		x, height := crest(u.row(i), int(expected-reach), int(expected+reach))
		if height <= 0 {
			return Ripples{}, fmt.Errorf("%w: row %d has no more than ground within %g px; check the angle, or widen the reach", ErrNoLine, i, reach)
		}
		middles.add(x, y)
		heights = append(heights, height)
	}
	if len(heights) < minCuts {
		return Ripples{}, fmt.Errorf("%w: only %d rows hold it clear of the border; give a larger picture", ErrNoLine, len(heights))
	}
	return Ripples{
		Mean:   mean(heights),
		Height: deviation(heights) / mean(heights),
		Wander: middles.scatter() / math.Hypot(1, slope),
		Rows:   len(heights),
	}, nil
}

// scatter returns the standard deviation of x from the points' own line.
func (p *points) scatter() float64 {
	line := p.fit()
	off := make([]float64, len(p.x))
	for i, y := range p.y {
		off[i] = p.x[i] - line.at(y)
	}
	return deviation(off)
}

// crest returns the place and height of a row's highest point in pixels from..to,
// which must not touch the row's ends.
func crest(row []float64, from, to int) (x, height float64) {
	top := from
	for i := from; i <= to; i++ {
		if row[i] > row[top] {
			top = i
		}
	}
	a, b, c := row[top-1], row[top], row[top+1]
	if min(a, b, c) <= 0 { // a line one pixel wide, or rung: no logarithm
		d, height := vertex(a, b, c)
		return float64(top) + 0.5 + d, height
	}
	d, log := vertex(math.Log(a), math.Log(b), math.Log(c))
	return float64(top) + 0.5 + d, math.Exp(log)
}

// vertex returns the vertex of the parabola through (-1, a), (0, b), (1, c): its place, held to
// half a pixel, and height.
func vertex(a, b, c float64) (x, y float64) {
	bend := a - 2*b + c
	if bend >= 0 {
		return 0, b
	}
	x = max(-0.5, min(0.5, (a-c)/(2*bend)))
	return x, b + x*(c-a)/2 + x*x*bend/2
}
