package order

import (
	"fmt"
	"math"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/exact"
	"sizewright/internal/hold"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/vision"
)

// Resolution says whether the file has enough pixels for this size.
type Resolution struct {
	NativePPI         float64 `json:"native_ppi"`           // source pixels an inch of print
	DetailPPI         float64 `json:"detail_ppi,omitempty"` // source pixels an inch that carry detail; 0 if unknown
	MinimumPPI        float64 `json:"minimum_ppi"`          // below it the order is held
	CautionPPI        float64 `json:"caution_ppi"`          // below it there is a caution
	ViewingDistanceMM float64 `json:"viewing_distance_mm"`
	Basis             string  `json:"basis"` // "viewing distance" or "set"
}

const (
	// floorPPI is the least for any print, however large the viewing distance
	// (common practice, no source).
	floorPPI = 100
	// stepNearer: the caution level is for a viewer a third nearer, at one diagonal
	// instead of 1.5.
	stepNearer = 1.5
)

// viewingDistance returns the viewing distance for a print of this diagonal, in mm,
// unless the folder's settings give one.
func viewingDistance(diagonalMM float64, s config.Settings) float64 {
	if s.ViewingDistanceMM > 0 {
		return s.ViewingDistanceMM
	}
	return vision.ViewingDistance(diagonalMM)
}

// levels returns the minimum and the caution level, in ppi, for a print of this
// diagonal. By default the minimum is what the eye resolves from the viewing distance.
// The caution level is what it resolves a third nearer, but not more than at the near
// point or than the printer's resolution.
func levels(diagonalMM float64, s config.Settings) (minimum, caution float64) {
	resolved := vision.ResolvablePPI(viewingDistance(diagonalMM, s), s.Acuity)
	minimum, caution = s.MinimumPPI, s.CautionPPI
	if minimum == 0 {
		minimum = min(max(floorPPI, resolved), s.PPI)
	}
	if caution == 0 {
		caution = min(stepNearer*max(floorPPI, resolved), vision.ResolvablePPI(vision.NearPointMM, s.Acuity), s.PPI)
	}
	return minimum, max(minimum, caution)
}

var tooFewPixels = hold.New("too-few-pixels", "find a file with more pixels")

var lowResolution = caution.New("low-resolution", caution.WorthALook,
	"Look at the cut-outs from where the print will be seen. If it is too soft, print it smaller.")

func (p *Plan) resolution(s config.Settings) {
	diagonal := exact.Hypot(p.Print.WidthMM, p.Print.HeightMM)
	minimum, caution := levels(diagonal, s)
	basis := "viewing distance"
	if s.MinimumPPI > 0 {
		basis = "set"
	}
	native := p.Crop.Width / (p.Print.WidthMM / printsize.MMPerInch)
	p.Resolution = Resolution{
		NativePPI:         round(native, 1),
		MinimumPPI:        round(minimum, 1),
		CautionPPI:        round(caution, 1),
		ViewingDistanceMM: math.Round(viewingDistance(diagonal, s)),
		Basis:             basis,
	}
	switch r := p.Resolution; {
	case r.NativePPI < r.MinimumPPI:
		p.refuse(s)
	case r.NativePPI < r.CautionPPI:
		p.caution(lowResolution, "the file has %.0f ppi at %s: enough from %s, soft from nearer (below %.0f ppi)",
			r.NativePPI, p.Size.Name, vision.FormatDistance(r.ViewingDistanceMM), r.CautionPPI)
	}
}

// refuse refuses the order for too few pixels.
func (p *Plan) refuse(s config.Settings) {
	r := p.Resolution
	p.refuseFor(tooFewPixels, carrier{p.Crop, s, 1}, fmt.Sprintf("too few pixels for %s: %d x %d px is %.0f ppi, and at least %.0f is needed (seen from %s)",
		p.Size.Name, p.Picture.Width, p.Picture.Height, r.NativePPI, r.MinimumPPI, vision.FormatDistance(r.ViewingDistanceMM)))
}

// refuseFor refuses the order and names the largest print that the picture could make.
func (p *Plan) refuseFor(k hold.Kind, c carrier, lacks string) {
	w, h := c.largest()
	name := c.largestNamed()
	lacks += fmt.Sprintf("; it would carry %.0f x %.0f mm", w, h)
	if name != "" {
		lacks += fmt.Sprintf(", so %s at the most", name)
		k = k.With(fmt.Sprintf("drop it into %s, or %s", name, k.Remedy))
	}
	p.Refusal = &Refusal{Hold: *k.Say("%s", lacks), WidthMM: w, HeightMM: h, Size: name}
}

// carrier is a crop of a picture, the folder's settings, and the share of the pixels
// along a side that count.
type carrier struct {
	crop  render.Rect
	set   config.Settings
	share float64
}

// carries reports whether a print this wide, in mm, meets the minimum.
func (c carrier) carries(widthMM float64) bool {
	minimum, _ := levels(exact.Hypot(widthMM, widthMM*c.crop.Height/c.crop.Width), c.set)
	return c.share*c.crop.Width*printsize.MMPerInch/widthMM >= minimum
}

// largest returns the largest print, in whole mm, that meets the minimum. The ratio of
// native ppi to minimum never rises with size, so bisection finds it.
func (c carrier) largest() (wMM, hMM float64) {
	lo, hi := 0.0, c.crop.Width*printsize.MMPerInch // 1 ppi
	for hi-lo > 1e-4 {
		if mid := (lo + hi) / 2; c.carries(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Floor(hi), math.Floor(hi * c.crop.Height / c.crop.Width)
}

// largestNamed returns the largest known size in which the whole crop meets the
// minimum, or "".
func (c carrier) largestNamed() string {
	name := ""
	for _, s := range printsize.Known() {
		w, h := s.Fit(c.crop.Width > c.crop.Height)
		if c.carries(min(w, h*c.crop.Width/c.crop.Height)) {
			name = s.Name
		}
	}
	return name
}
