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

// Uncropped is [Plan.Preview] of the whole picture, of which the print holds p.Crop.
func (p *Plan) Uncropped(o Order, maxSide int) render.Recipe {
	w := *p
	w.Crop = render.Rect{Width: float64(p.Picture.Width), Height: float64(p.Picture.Height)}
	w.Print.Width = max(1, int(float64(w.Crop.Width*p.Scale.X)+0.5))
	w.Print.Height = max(1, int(float64(w.Crop.Height*p.Scale.Y)+0.5))
	return w.Preview(o, maxSide)
}
