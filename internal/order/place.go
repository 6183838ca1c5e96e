package order

import (
	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// place settles the crop and the exact pixels. The side that meets
// the size has the size's own pixels; the other follows the picture's shape.
func (p *Plan) place(size printsize.Size, s config.Settings) {
	w, h := float64(p.Picture.Width), float64(p.Picture.Height)
	wMM, hMM := size.Fit(w > h)
	ppi := s.PPI
	p.Crop = render.Rect{Width: w, Height: h}
	pw, ph := printsize.Pixels(wMM, ppi), printsize.Pixels(hMM, ppi)
	wider := w*hMM > h*wMM // than the size
	switch {
	case s.Fit == config.FitFill && wider:
		p.Crop.Width = min(w, h*float64(pw)/float64(ph))
	case s.Fit == config.FitFill:
		p.Crop.Height = min(h, w*float64(ph)/float64(pw))
	case wider:
		ph = max(1, min(ph, printsize.Pixels(wMM*h/w, ppi)))
	default:
		pw = max(1, min(pw, printsize.Pixels(hMM*w/h, ppi)))
	}
	p.cut(s)
	p.Print = PlanPrint{
		Print:    render.Print{Width: pw, Height: ph, PPI: ppi},
		WidthMM:  round(float64(pw)*printsize.MMPerInch/ppi, 3),
		HeightMM: round(float64(ph)*printsize.MMPerInch/ppi, 3),
	}
}
