package demo

// pt is a point of the picture, in picture heights, v down.
type pt struct{ u, v float32 }

// A stroke is a tapered curve: a blade of grass, a stem, a twig. Lengths are in picture heights.
type stroke struct {
	root, bend, tip pt      // a quadratic Bézier
	thick, thin     float32 // half-widths at the root and at the tip
	soft            float32 // how far out of focus: the radius of the blur
	from, to        rgb     // colours at the root and at the tip
	roll            float32 // -1..1: how much brighter its right side is than its left
	joints          float32 // swellings along it, for glasswort; 0 for smooth stems
	opacity         float32
	foot            float32 // v of the ground under it, about which water mirrors it
	leaf            bool    // narrow at the root, where it leaves a stem
	flat            bool    // straight and sawn off square, where others have round ends
	reflected       bool    // seen only in water
}

// strokes is a layer of strokes, sorted once into the tiles they touch, in painting order.
type strokes struct {
	all    []stroke
	byTile [][]int32
}

func newStrokes(f frame, all []stroke) *strokes {
	s := &strokes{all: all, byTile: make([][]int32, f.tiles())}
	cols, rows := f.columns(), f.tiles()/f.columns()
	scale := float32(f.h) / tileSide
	for i := range all {
		lo, hi := all[i].bounds(f.pixel() * (rim + 1))
		x0, x1 := max(floor(lo.u*scale), 0), min(floor(hi.u*scale), cols-1)
		y0, y1 := max(floor(lo.v*scale), 0), min(floor(hi.v*scale), rows-1)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				s.byTile[y*cols+x] = append(s.byTile[y*cols+x], int32(i))
			}
		}
	}
	return s
}

// bounds is the box of the curve's control points, which holds the curve, widened by its thickness.
func (s *stroke) bounds(margin float32) (lo, hi pt) {
	r := max(s.thick, s.thin)*widest + s.soft + margin
	lo = pt{min(s.root.u, s.bend.u, s.tip.u) - r, min(s.root.v, s.bend.v, s.tip.v) - r}
	hi = pt{max(s.root.u, s.bend.u, s.tip.u) + r, max(s.root.v, s.bend.v, s.tip.v) + r}
	return lo, hi
}

func (s *strokes) paint(t *tile) {
	for _, i := range s.byTile[t.number] {
		if stroke := &s.all[i]; t.wet || !stroke.reflected {
			t.brush.draw(t, stroke)
		}
	}
}

// along is the curve at t in 0..1.
func (s *stroke) along(t float32) pt {
	a, b, c := (1-t)*(1-t), 2*t*(1-t), t*t
	return pt{a*s.root.u + b*s.bend.u + c*s.tip.u, a*s.root.v + b*s.bend.v + c*s.tip.v}
}

// taper is the half-width at t, joints aside: full for most of the length, as a leaf is.
func (s *stroke) taper(t float32) float32 {
	w := s.thick + (s.thin-s.thick)*t*t
	if s.leaf {
		w *= min(0.35+4*t, 1)
	}
	return w
}

// swell is 0 in the joints and 1 half-way between them.
func (s *stroke) swell(t float32) float32 {
	f := t * s.joints
	f -= float32(int(f))
	return 4 * f * (1 - f)
}

// light is a stem's shading: rounder to one side, darker in the joints.
func (s *stroke) light(t, side float32) float32 {
	l := 1 + s.roll*side*0.8
	if s.joints > 0 {
		l *= 0.6 + 0.5*s.swell(t)
	}
	return max(l, 0.05)
}
