package order

import (
	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// place sets the size, the crop and the exact pixels. The side that limits the print
// has the size's own number of pixels; the other follows the picture's shape.
func (p *Plan) place(o Order) {
	w, h := float64(p.Picture.Width), float64(p.Picture.Height)
	wMM, hMM := o.Size.Fit(w > h)
	ppi := o.Settings.PPI
	p.Size = PlanSize{Name: o.Size.Name, WidthMM: wMM, HeightMM: hMM}
	p.Crop = render.Rect{Width: w, Height: h}
	pw, ph := printsize.Pixels(wMM, ppi), printsize.Pixels(hMM, ppi)
	wider := w*hMM > h*wMM // than the size
	switch {
	case o.Settings.Fit == config.FitFill && wider:
		p.Crop.Width = min(w, h*float64(pw)/float64(ph))
		p.Crop.X = (w - p.Crop.Width) / 2
	case o.Settings.Fit == config.FitFill:
		p.Crop.Height = min(h, w*float64(ph)/float64(pw))
		p.Crop.Y = (h - p.Crop.Height) / 2
	case wider:
		ph = max(1, min(ph, printsize.Pixels(wMM*h/w, ppi)))
	default:
		pw = max(1, min(pw, printsize.Pixels(hMM*w/h, ppi)))
	}
	p.Print = PlanPrint{
		Print:    render.Print{Width: pw, Height: ph, PPI: ppi},
		WidthMM:  round(float64(pw)*printsize.MMPerInch/ppi, 3),
		HeightMM: round(float64(ph)*printsize.MMPerInch/ppi, 3),
	}
}
