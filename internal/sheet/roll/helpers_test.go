package roll

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// tolerance is the error allowed in lengths, in millimetres: float64 sums, and units of
// 0.0001 mm.
const tolerance = 2e-4

// check verifies what every plan must satisfy.
func check(t *testing.T, items []Item, p Plan) {
	t.Helper()
	everyItemOnce(t, items, p)
	var length, area float64
	for _, r := range p.Runs {
		inside(t, p.Roll, r)
		apart(t, p.Roll.GapMM, r)
		cutApart(t, r)
		length += r.LengthMM
		for _, i := range r.Pieces {
			area += i.Width * i.Height
		}
	}
	near(t, "length", p.LengthMM, length)
	near(t, "area", p.AreaMM2, area)
	near(t, "waste", p.WasteMM2, length*p.Roll.WidthMM-area)
	if p.LowerBoundMM > p.LengthMM {
		t.Errorf("bound %v mm is above the length %v mm", p.LowerBoundMM, p.LengthMM)
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*max(1, math.Abs(want)) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// everyItemOnce: each item is placed with its own size, turned only if allowed, or unplaced.
func everyItemOnce(t *testing.T, items []Item, p Plan) {
	t.Helper()
	left := map[string]int{}
	size := map[string]Item{}
	for _, i := range items {
		left[i.ID]++
		size[i.ID] = i
	}
	for _, u := range p.Unplaced {
		left[u.ID]--
		if u.Sentence == "" {
			t.Errorf("%q was left out without a reason", u.ID)
		}
	}
	for _, r := range p.Runs {
		for _, q := range r.Pieces {
			left[q.ID]--
			i, w, h := size[q.ID], q.Width, q.Height
			if q.Turned {
				w, h = h, w
			}
			if w != i.WidthMM || h != i.HeightMM || q.Turned && !i.MayTurn {
				t.Errorf("%+v was placed as %+v", i, q)
			}
		}
	}
	for id, n := range left {
		if n != 0 {
			t.Errorf("%q is %d times short", id, n)
		}
	}
}

func inside(t *testing.T, roll Roll, r Run) {
	t.Helper()
	for _, p := range r.Pieces {
		if p.X < roll.Left+roll.LaneMM-tolerance || p.X+p.Width > roll.WidthMM-roll.Right-roll.LaneMM+tolerance ||
			p.Y < roll.Leading-tolerance || p.Y+p.Height > r.LengthMM-roll.Trailing+tolerance {
			t.Errorf("%+v is not within margins and lanes of a run %v mm long on %+v", p, r.LengthMM, roll)
		}
	}
	if roll.MaxLengthMM > 0 && r.LengthMM > roll.MaxLengthMM+tolerance {
		t.Errorf("a run of %v mm where %v is the most", r.LengthMM, roll.MaxLengthMM)
	}
}

func apart(t *testing.T, gap float64, r Run) {
	t.Helper()
	for k, p := range r.Pieces {
		for _, q := range r.Pieces[:k] {
			dx := max(q.X-p.X-p.Width, p.X-q.X-q.Width)
			dy := max(q.Y-p.Y-p.Height, p.Y-q.Y-q.Height)
			if max(dx, dy) < gap-tolerance {
				t.Errorf("%+v and %+v are %v mm apart, want %v", p, q, max(dx, dy), gap)
			}
		}
	}
}

// cutApart follows the cuts, and nothing else, as a person at the trimmer does.
func cutApart(t *testing.T, r Run) {
	t.Helper()
	parts := []part{{x1: r.WidthMM, y1: r.LengthMM}}
	for n, c := range r.Cuts {
		if c.Number != n+1 {
			t.Errorf("cut %d is numbered %d", n+1, c.Number)
		}
		k := slices.IndexFunc(parts, c.isEdgeToEdgeOf)
		if k < 0 {
			t.Fatalf("%+v goes from edge to edge of no part", c)
		}
		for _, p := range r.Pieces {
			if c.passesThrough(p) {
				t.Errorf("%+v passes through %+v", c, p)
			}
		}
		a, b := parts[k], parts[k]
		if c.Direction == Across {
			near(t, "measure", c.MeasureMM, c.AtMM-a.y0)
			a.y1, b.y0 = c.AtMM, c.AtMM
		} else {
			near(t, "measure", c.MeasureMM, c.AtMM-a.x0)
			a.x1, b.x0 = c.AtMM, c.AtMM
		}
		parts = append(slices.Delete(parts, k, k+1), a, b)
	}
	trims := 0
	for _, a := range parts {
		var on []Piece
		for _, p := range r.Pieces {
			if p.X > a.x0-tolerance && p.X+p.Width < a.x1+tolerance && p.Y > a.y0-tolerance && p.Y+p.Height < a.y1+tolerance {
				on = append(on, p)
			}
		}
		if len(on) != 1 {
			t.Fatalf("after all cuts a part %+v has %d prints", a, len(on))
		}
		for _, d := range []float64{on[0].X - a.x0, on[0].Y - a.y0, a.x1 - on[0].X - on[0].Width, a.y1 - on[0].Y - on[0].Height} {
			if d > flush {
				trims++
			}
		}
	}
	if len(parts) != len(r.Pieces) || trims != r.Trims {
		t.Errorf("%d parts for %d prints; %d sides to trim, the plan says %d", len(parts), len(r.Pieces), trims, r.Trims)
	}
}

func (c Cut) isEdgeToEdgeOf(a part) bool {
	if c.Direction == Across {
		return c.FromMM == a.x0 && c.ToMM == a.x1 && c.AtMM > a.y0 && c.AtMM < a.y1
	}
	return c.FromMM == a.y0 && c.ToMM == a.y1 && c.AtMM > a.x0 && c.AtMM < a.x1
}

func (c Cut) passesThrough(p Piece) bool {
	from, to, low, high := p.X, p.X+p.Width, p.Y, p.Y+p.Height
	if c.Direction == Along {
		from, to, low, high = low, high, from, to
	}
	return c.AtMM > low+tolerance && c.AtMM < high-tolerance && c.FromMM < to-tolerance && c.ToMM > from+tolerance
}

// prints makes items from sides in millimetres, named 1, 2 and so on.
func prints(mayTurn bool, sides ...[2]float64) []Item {
	var items []Item
	for n, s := range sides {
		items = append(items, Item{fmt.Sprint(n + 1), s[0], s[1], mayTurn})
	}
	return items
}

// generator is the tests' random number generator.
type generator struct{ random }

func (g *generator) from(low, high int) float64 { return float64(low + g.below(high-low+1)) }

// night returns n prints of any size.
func (g *generator) night(n, low, high int) []Item {
	var items []Item
	for k := range n {
		items = append(items, Item{fmt.Sprint("print ", k+1), g.from(low, high), g.from(low, high), g.below(4) > 0})
	}
	return items
}

// known returns a night of usual sizes, several of most.
func (g *generator) known(n int) []Item {
	sizes := [][2]float64{{210, 297}, {297, 420}, {420, 594}, {203.2, 254}, {406.4, 508}, {304.8, 457.2}, {508, 609.6}, {148, 210}}
	var items []Item
	for k := range n {
		s := sizes[g.below(len(sizes))]
		items = append(items, Item{fmt.Sprint("print ", k+1), s[0], s[1], true})
	}
	return items
}
