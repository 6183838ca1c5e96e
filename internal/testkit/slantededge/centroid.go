package slantededge

import "math"

// A window weighs positions along a row, x px from its left end.
type window func(x float64) float64

func everywhere(float64) float64 { return 1 }

// hamming returns the window 0.54 + 0.46 cos over +-half px about a middle, and
// nothing outside.
func hamming(middle, half float64) window {
	return func(x float64) float64 {
		if d := (x - middle) / half; math.Abs(d) <= 1 {
			return 0.54 + 0.46*math.Cos(math.Pi*d)
		}
		return 0
	}
}

// centroid returns where a row rises: the centroid of its windowed first difference,
// in px from its left end, and the whole of that rise. A difference lies on the
// border between its two pixels.
func centroid(row []float64, weight window) (x, rise float64) {
	moment := 0.0
	for i := 1; i < len(row); i++ {
		d := (row[i] - row[i-1]) * weight(float64(i))
		rise += d
		moment += d * float64(i)
	}
	return moment / rise, rise
}

// points are places on a line: x px along row number y + 0.5.
type points struct{ x, y []float64 }

func (p *points) add(x, y float64) {
	p.x, p.y = append(p.x, x), append(p.y, y)
}

// straight is x = at0 + slope*y.
type straight struct{ at0, slope float64 }

func (s straight) at(y float64) float64 { return s.at0 + s.slope*y }

// fit returns the line of least squares in x.
func (p *points) fit() straight {
	mx, my := mean(p.x), mean(p.y)
	var sxy, syy float64
	for i, y := range p.y {
		sxy += (p.x[i] - mx) * (y - my)
		syy += (y - my) * (y - my)
	}
	slope := sxy / syy
	return straight{mx - slope*my, slope}
}
