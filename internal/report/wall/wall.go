// Package wall hangs a night's prints side by side at one true scale.
//
// It is geometry and nothing else: prints in mm and a screen in px go in, one scale and
// the place of every print come out. Prints hang in rows, those of a row about one centre
// line, in the order they are given. This is also how a browser lays out a wrapping flex
// box with align-items: center, so a page needs only the scale.
package wall

// Print is one print, mm. LeastPX is the width its label takes. Of several sheets of one
// size that are fanned out, the first shows whole and each of the More others shows StepMM.
type Print struct {
	WidthMM, HeightMM float64
	LeastPX           float64
	More              int
	StepMM            float64
}

// FanGap is between what shows of two sheets of a fan and between its lines, px.
const FanGap = 8

// cell is the room that a print takes at a scale, px. A fan that is wider than the screen
// takes several lines.
func (p Print) cell(scale, screen float64) (width, height float64) {
	width, height = max(float64(p.WidthMM*scale), Target), max(float64(p.HeightMM*scale), Target)
	if p.More > 0 {
		step := max(float64(p.StepMM*scale), Target) + FanGap
		line := min(p.More, max(0, int((screen-width)/step)))
		lines := float64(1 + p.More/(line+1))
		width, height = max(width, step)+float64(float64(line)*step), float64(lines*height)+float64((lines-1)*FanGap)
	}
	return max(width, p.LeastPX), height
}

// Screen is the room there is, px.
type Screen struct {
	Width, Height float64
	Gap           float64 // between two prints of a row
	Above, Below  float64 // of each row, for labels
}

// Target is the least side, px, of what a person points at (WCAG 2.2, 2.5.8).
const Target = 24

// MostPXPerMM is the largest scale: one small print alone is no poster.
const MostPXPerMM = 1.25

// leastPXPerMM ends the search. Where not even this fits, all sides are those of targets
// and the wall is higher than the screen.
const leastPXPerMM = 0.02

// step is from one scale that is tried to the next.
const step = 0.985

// Rect is a rectangle in px, from the wall's upper left corner.
type Rect struct{ X, Y, Width, Height float64 }

// Place is where a print hangs: Picture is true to scale, Target is what a person points
// at, which is the picture's middle grown to at least the least sides.
type Place struct {
	Picture, Target Rect
	Row             int
}

// Wall is a night hung.
type Wall struct {
	PXPerMM float64
	Height  float64 // px; more than the screen's where nothing else is possible
	Places  []Place // as the prints were given
}

// Hang gives the largest scale at which all prints fit the screen. The wall is always as
// narrow as the screen. It is higher only where the prints do not fit as bare targets.
func Hang(prints []Print, s Screen) Wall {
	scale := MostPXPerMM
	for scale > leastPXPerMM {
		if w, ok := hung(prints, s, scale); ok && w.Height <= s.Height {
			return w
		}
		scale = float64(scale * step)
	}
	w, ok := hung(prints, s, leastPXPerMM)
	if !ok { // one print is wider than the screen even so
		scale := leastPXPerMM
		for _, p := range prints {
			scale = min(scale, s.Width/p.WidthMM)
		}
		w, _ = hung(prints, s, scale)
	}
	return w
}

// hung is the wall at one scale; false where a print is wider than the screen.
func hung(prints []Print, s Screen, scale float64) (Wall, bool) {
	w := Wall{PXPerMM: scale, Places: make([]Place, len(prints))}
	x, first, tallest, row, fits := 0.0, 0, 0.0, 0, true
	end := func(to int) { // of the row: now its height is known
		centre := w.Height + s.Above + tallest/2
		for i := first; i < to; i++ {
			p := &w.Places[i]
			p.Row = row
			p.Picture.Y, p.Target.Y = centre-p.Picture.Height/2, centre-p.Target.Height/2
		}
		w.Height += s.Above + tallest + s.Below
		x, first, tallest, row = 0, to, 0, row+1
	}
	for i, p := range prints {
		width, height := float64(p.WidthMM*scale), float64(p.HeightMM*scale)
		var cell Rect
		cell.Width, cell.Height = p.cell(scale, s.Width)
		fits = fits && width <= s.Width
		if i > first && x+cell.Width > s.Width {
			end(i)
		}
		cell.X = x
		w.Places[i] = Place{Picture: Rect{X: x + (cell.Width-width)/2, Width: width, Height: height}, Target: cell}
		x += cell.Width + s.Gap
		tallest = max(tallest, cell.Height)
	}
	if len(prints) > 0 {
		end(len(prints))
	}
	return w, fits
}
