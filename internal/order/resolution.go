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

// Resolution is whether the file carries this size.
type Resolution struct {
	NativePPI         float64 `json:"native_ppi"`           // source pixels an inch of print
	DetailPPI         float64 `json:"detail_ppi,omitempty"` // of those, what its detail would need; 0 is not known
	MinimumPPI        float64 `json:"minimum_ppi"`          // below it: held
	CautionPPI        float64 `json:"caution_ppi"`          // below it: a caution
	ViewingDistanceMM float64 `json:"viewing_distance_mm"`
	Basis             string  `json:"basis"` // "viewing distance" or "set"
}

const (
	// floorPPI: no print is made from less, however far away it hangs
	// (common practice, no source).
	floorPPI = 100
	// stepNearer: the caution level is for the viewer who comes a third
	// nearer, to one diagonal.
	stepNearer = 1.5
)

// viewingDistance is where people stand for a print of this diagonal, unless
// the folder's settings say.
func viewingDistance(diagonalMM float64, s config.Settings) float64 {
	if s.ViewingDistanceMM > 0 {
		return s.ViewingDistanceMM
	}
	return vision.ViewingDistance(diagonalMM)
}

// levels are the minimum and caution levels for a print of this diagonal, in
// ppi. The derived minimum is what the eye resolves from the viewing
// distance; the derived caution level is what it resolves a third nearer, but
// never more than at the near point or than the printer takes.
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
		p.caution(lowResolution, "the file has %.0f ppi at %s: enough from %s, soft to an eye that comes nearer (below %.0f ppi)",
			r.NativePPI, p.Size.Name, vision.FormatDistance(r.ViewingDistanceMM), r.CautionPPI)
	}
}

// refuse writes the reason and the largest print the crop would carry.
func (p *Plan) refuse(s config.Settings) {
	r := p.Resolution
	p.refuseFor(tooFewPixels, carrier{p.Crop, s, 1}, fmt.Sprintf("too few pixels for %s, where %d x %d px is %.0f ppi and %.0f is the least (seen from %s)",
		p.Size.Name, p.Picture.Width, p.Picture.Height, r.NativePPI, r.MinimumPPI, vision.FormatDistance(r.ViewingDistanceMM)))
}

// refuseFor refuses for what a size asks of a picture, and says which one it carries.
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

// carrier is a crop of a picture, what a folder asks of it, and the share of its
// pixels a side that count.
type carrier struct {
	crop  render.Rect
	set   config.Settings
	share float64
}

// carries tells whether a print this wide, in mm, meets the minimum.
func (c carrier) carries(widthMM float64) bool {
	minimum, _ := levels(exact.Hypot(widthMM, widthMM*c.crop.Height/c.crop.Width), c.set)
	return c.share*c.crop.Width*printsize.MMPerInch/widthMM >= minimum
}

// largest is the largest print, in whole mm, that meets the minimum. Native
// over minimum never rises with size, so halving finds it.
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

// largestNamed is the largest of the known sizes that would carry the whole
// crop printed within it, or "".
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
