package slantededge

import (
	"fmt"
	"math"
	"slices"
)

// A picture to be measured, turned so that its edge or line is nearer upright
// than flat and, for an edge, light on the right.
type upright struct {
	plane []float64
	w, h  int

	turned   bool // rows and columns were exchanged
	mirrored bool // and then left and right
}

// turn exchanges rows and columns.
func (u upright) turn() upright {
	t := upright{plane: make([]float64, len(u.plane)), w: u.h, h: u.w, turned: !u.turned}
	for y := range u.h {
		for x := range u.w {
			t.plane[x*u.h+y] = u.plane[y*u.w+x]
		}
	}
	return t
}

// mirror exchanges left and right.
func (u upright) mirror() upright {
	m := u
	m.plane, m.mirrored = slices.Clone(u.plane), !u.mirrored
	for y := range m.h {
		slices.Reverse(m.row(y))
	}
	return m
}

func (u upright) row(y int) []float64 { return u.plane[y*u.w : (y+1)*u.w] }

// angle returns the angle in the picture as it came, in (-90, 90], of a line of this slope (px to
// the right for one row down).
func (u upright) angle(slope float64) float64 {
	a := -math.Atan(slope) * 180 / math.Pi
	if u.mirrored {
		a = -a
	}
	if !u.turned {
		return a
	}
	return fold(90 - a)
}

// fold brings an angle of a line into (-90, 90].
func fold(degrees float64) float64 { return 90 - modulo(90-degrees, 180) }

func modulo(x, n float64) float64 { return x - n*math.Floor(x/n) }

// stand turns a picture so that its edge is upright. By the divergence theorem a picture's mean
// gradient is a sum over its borders alone, and a straight edge's points along
// its normal; noise hardly moves it.
func stand(u upright) (upright, error) {
	gx, gy := u.meanStep(), u.turn().meanStep()
	if gx == 0 && gy == 0 {
		return u, fmt.Errorf("%w: opposite sides of the picture are alike; give a region with an edge across it", ErrNoEdge)
	}
	if math.Abs(gy) > math.Abs(gx) {
		u, gx = u.turn(), gy
	}
	if gx < 0 {
		u = u.mirror()
	}
	return u, nil
}

// meanStep returns the mean difference between a pixel and its right neighbour.
func (u upright) meanStep() float64 {
	sum := 0.0
	for y := range u.h {
		row := u.row(y)
		sum += row[u.w-1] - row[0]
	}
	return sum / float64(u.h*max(u.w-1, 1))
}
