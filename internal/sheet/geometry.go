package sheet

import "math"

// Rect is a rectangle in millimetres; X and Y are its corner nearest the origin.
type Rect struct {
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
	Width  float64 `json:"width_mm"`
	Height float64 `json:"height_mm"`
}

// Right is the side opposite X.
func (r Rect) Right() float64 { return r.X + r.Width }

// Bottom is the side opposite Y.
func (r Rect) Bottom() float64 { return r.Y + r.Height }

// Centre returns the middle.
func (r Rect) Centre() (x, y float64) { return r.X + float64(r.Width/2), r.Y + float64(r.Height/2) }

// grown returns r with d more on every side.
func (r Rect) grown(d float64) Rect { return Rect{r.X - d, r.Y - d, r.Width + 2*d, r.Height + 2*d} }

// union returns the smallest rectangle that holds both.
func (r Rect) union(s Rect) Rect {
	x, y := min(r.X, s.X), min(r.Y, s.Y)
	return Rect{x, y, max(r.Right(), s.Right()) - x, max(r.Bottom(), s.Bottom()) - y}
}

// A Segment is a horizontal or vertical line in millimetres.
type Segment struct {
	X1 float64 `json:"x1_mm"`
	Y1 float64 `json:"y1_mm"`
	X2 float64 `json:"x2_mm"`
	Y2 float64 `json:"y2_mm"`
}

// bounds returns the rectangle, without area, that the segment covers.
func (s Segment) bounds() Rect {
	x, y := min(s.X1, s.X2), min(s.Y1, s.Y2)
	return Rect{x, y, max(s.X1, s.X2) - x, max(s.Y1, s.Y2) - y}
}

// hair is a length too small to matter on paper, in mm. It is larger than the rounding
// errors of float64 sums.
const hair = 1e-5

// tidy rounds to a millionth of a millimetre, so that 5.5 is not 5.4999999.
func tidy(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }
