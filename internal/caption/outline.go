package caption

import (
	"cmp"
	"image"
	"slices"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Outlines are filled here with integers rather than by x/image/vector, whose
// floating-point results differ between machines.
//
// one is the length of a pixel. Each pixel row is sampled along rows scan lines; along
// a scan line the coverage is exact.
const (
	one  = 1 << 10
	rows = 16
	step = one / rows
)

// An edge goes from y0 down to y1 (y0 < y1). down is 1, or -1 if the outline goes up.
type edge struct {
	x0, y0, x1, y1 int64
	down           int
}

// An outline is a set of edges in units of 1/one pixel.
type outline struct{ edges []edge }

type point struct{ x, y int64 }

// add adds segments whose origin is at dot. Curves are quadratic in TrueType and cubic in
// OpenType's other outlines.
func (o *outline) add(segments sfnt.Segments, dot fixed.Point26_6) {
	at := func(p fixed.Point26_6) point {
		return point{int64(p.X+dot.X) * one / 64, int64(p.Y+dot.Y) * one / 64}
	}
	var start, pen point
	for _, s := range segments {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			o.line(pen, start)
			start, pen = at(s.Args[0]), at(s.Args[0])
		case sfnt.SegmentOpLineTo:
			o.line(pen, at(s.Args[0]))
			pen = at(s.Args[0])
		case sfnt.SegmentOpQuadTo:
			o.curve(pen, at(s.Args[0]), at(s.Args[1]))
			pen = at(s.Args[1])
		case sfnt.SegmentOpCubeTo:
			o.cubic(pen, at(s.Args[0]), at(s.Args[1]), at(s.Args[2]))
			pen = at(s.Args[2])
		}
	}
	o.line(pen, start)
}

func (o *outline) line(a, b point) {
	switch {
	case a.y < b.y:
		o.edges = append(o.edges, edge{a.x, a.y, b.x, b.y, 1})
	case a.y > b.y:
		o.edges = append(o.edges, edge{b.x, b.y, a.x, a.y, -1})
	}
}

// curve adds enough straight lines to stay within 1/64 pixel of the curve: the error of
// n lines is a quarter of the second difference over n squared.
func (o *outline) curve(a, b, c point) {
	bend := max(abs(a.x-2*b.x+c.x), abs(a.y-2*b.y+c.y))
	n := int64(1)
	for bend > 4*n*n*one/64 {
		n++
	}
	pen := a
	for i := int64(1); i <= n; i++ {
		u, v, w := (n-i)*(n-i), 2*i*(n-i), i*i
		next := point{(u*a.x + v*b.x + w*c.x) / (n * n), (u*a.y + v*b.y + w*c.y) / (n * n)}
		o.line(pen, next)
		pen = next
	}
}

// cubic does the same; the error of n lines is at most 3/4 of the larger second difference
// over n squared.
func (o *outline) cubic(a, b, c, d point) {
	bend := max(abs(a.x-2*b.x+c.x), abs(a.y-2*b.y+c.y), abs(b.x-2*c.x+d.x), abs(b.y-2*c.y+d.y))
	n := int64(1)
	for 3*bend > 4*n*n*one/64 {
		n++
	}
	pen := a
	for i := int64(1); i <= n; i++ {
		t, u, v, w := (n-i)*(n-i)*(n-i), 3*i*(n-i)*(n-i), 3*i*i*(n-i), i*i*i
		next := point{(t*a.x + u*b.x + v*c.x + w*d.x) / (n * n * n), (t*a.y + u*b.y + v*c.y + w*d.y) / (n * n * n)}
		o.line(pen, next)
		pen = next
	}
}

func abs(v int64) int64 { return max(v, -v) }

// A crossing is where a scan line meets an edge.
type crossing struct {
	x    int64
	down int
}

// draw adds the area inside the outline (non-zero winding) to a line of text.
func (o *outline) draw(line *image.Alpha) {
	b := o.bounds().Intersect(line.Rect)
	cover := make([]int64, b.Dx())
	var crossings []crossing
	for y := b.Min.Y; y < b.Max.Y; y++ {
		clear(cover)
		for k := range int64(rows) {
			crossings = o.at(int64(y)*one+k*step+step/2, crossings[:0])
			inside(cover, int64(b.Min.X)*one, crossings)
		}
		row := line.Pix[line.PixOffset(b.Min.X, y):]
		for x, c := range cover {
			if c > 0 {
				row[x] = uint8(min(255, int64(row[x])+(c*255+rows*one/2)/(rows*one)))
			}
		}
	}
}

// bounds returns the pixels that the outline touches.
func (o *outline) bounds() image.Rectangle {
	var b image.Rectangle
	for _, e := range o.edges {
		b = b.Union(image.Rect(floor(e.x0), floor(e.y0), floor(e.x0)+1, floor(e.y1)+1))
		b = b.Union(image.Rect(floor(e.x1), floor(e.y0), floor(e.x1)+1, floor(e.y1)+1))
	}
	return b
}

func floor(v int64) int { return int(v >> 10) }

// at appends the crossings of the scan line at y, from left to right.
func (o *outline) at(y int64, to []crossing) []crossing {
	for _, e := range o.edges {
		if e.y0 <= y && y < e.y1 {
			to = append(to, crossing{e.x0 + (y-e.y0)*(e.x1-e.x0)/(e.y1-e.y0), e.down})
		}
	}
	slices.SortFunc(to, func(a, b crossing) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.down, b.down)) })
	return to
}

// inside adds the spans between crossings that are inside. cover begins at left.
func inside(cover []int64, left int64, crossings []crossing) {
	winding := 0
	for k, c := range crossings {
		if winding != 0 {
			stretch(cover, crossings[k-1].x-left, c.x-left)
		}
		winding += c.down
	}
}

// stretch adds a span's coverage of each pixel.
func stretch(cover []int64, from, to int64) {
	from, to = max(0, from), min(to, int64(len(cover))*one)
	for from < to {
		pixel := from / one
		end := min(to, (pixel+1)*one)
		cover[pixel] += end - from
		from = end
	}
}
