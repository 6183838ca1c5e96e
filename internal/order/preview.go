package order

import "sizewright/internal/render"

// Preview returns the recipe for showing the print on a screen, at most maxSide pixels
// a side: the picture without paper, sharpened for that screen.
func (p *Plan) Preview(o Order, maxSide int) render.Recipe {
	s := *p
	s.Paper = nil
	k := min(1, float64(maxSide)/float64(max(p.Print.Width, p.Print.Height)))
	s.Print.Width = max(1, int(float64(float64(p.Print.Width)*k)+0.5))
	s.Print.Height = max(1, int(float64(float64(p.Print.Height)*k)+0.5))
	s.Print.PPI = p.Print.PPI * k
	s.scale(o.Settings)
	s.PreSharpening, s.ScaleSharpening, s.Grain = Sharpening{}, Sharpening{}, Grain{}
	s.OutputSharpening.RadiusPX = leastRadiusPX
	s.bands()
	return s.Recipe()
}
