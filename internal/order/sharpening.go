package order

import (
	"fmt"
	"math"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/exact"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/surface"
	"sizewright/internal/vision"
)

// Sharpening is one of the three stages of sharpening, and why it has its numbers. The
// masks are told at [render.Sharpening].
//
// Pre-sharpening: the radius is the
// picture's own blur, measured at its sharpest edges (see package detail) or set;
// the amount is gentle (house practice), and grows from nothing at 1:1 to its full
// share where the picture is doubled, since what is not enlarged is not spread.
//
// Scale sharpening makes good what the kernel takes of the picture's finest detail:
// its amount takes the kernel's response times the mask's to one at 0.35 cycle a
// source pixel (house practice), its radius is half a source pixel. A kernel that
// keeps that frequency needs none.
//
// Output sharpening is for the paper and the eye. The look is taken from the
// geometric mean of the near point and the viewing distance, since people stand
// back and then come nearer (house practice). The radius is one minute of arc
// from there (the acuity of ISO 8596; less for a sharper viewer), in millimetres on paper, so what it does in
// cycles per degree is the same at every size and ppi. The amount is the surface's:
// the more ink spreads and texture scatters, the more (house practice). It is
// eased, down to a half, where the picture was pre-sharpened and is much enlarged:
// what is left to do after that is little (common practice, no source).
//
// What holds the masks back (house practice but for the sources):
//
//	noise    t is solved for, from the picture's measured noise and
//	         what the mask makes of it, so that flat noise grows by no more than NoiseGain,
//	         also where it is half as strong again as in the calmest places (see spread)
//	edges    output sharpening's limit is what an eye just notices beside a strong
//	         edge, see haloLimit
//	shadows  all of the mask from luma 0.12, or from up to 0.35 where the
//	         picture's shadows are noisier than its lights
type Sharpening struct {
	render.Sharpening
	RadiusMM float64 `json:"radius_mm,omitempty"` // sigma on paper; output sharpening only
	Gain     float64 `json:"gain"`                // what the contrast of a sine of four radii's length is multiplied by, nothing held back
	Why      string  `json:"why"`
}

// NoiseGain is the limit to what all sharpening together does to the noise of a
// smooth place (its standard deviation in the same print not sharpened).
const NoiseGain = 1.10

const (
	preAmount     = 0.5
	preLimit      = 0.06
	preLeastPX    = 0.3
	preMostPX     = 1.2 // a softer picture is not thin glass over a sharp one
	scaleAtCycles = 0.35
	scaleRadius   = 0.5 // source pixels
	scaleMost     = 0.6
	leastRadiusPX = 0.4 // a narrower blur does nothing on a raster
	mostRadiusMM  = 0.3 // wider is local contrast, which is the photographer's
	mostRadiusPX  = 9.0 // bounds the halo of a tile
	shadowFull    = 0.12
	shadowNoisy   = 0.35
)

// sharpening settles the three stages, from what was measured of the picture, or
// without when it was not.
func (p *Plan) sharpening(s config.Settings) {
	var m detail.Measurement
	if p.Measured != nil {
		m = p.Measured.Measurement
	}
	p.PreSharpening = p.preSharpening(s, m)
	p.ScaleSharpening = p.scaleSharpening(s, m)
	p.OutputSharpening = p.outputSharpening(s, m)
	p.holdBack(m)
}

func (p *Plan) preSharpening(s config.Settings, m detail.Measurement) Sharpening {
	blur, whose := m.Blur, "measured"
	if s.BlurPX > 0 {
		blur, whose = s.BlurPX, "set"
	}
	radius := min(blur, preMostPX)
	reach := min(max(p.enlarges()-1, 0), 1)
	pre := Sharpening{Sharpening: render.Sharpening{RadiusPX: round(radius, 3), Limit: preLimit}}
	switch {
	case s.PreSharpening == 0:
		pre.Why = "set to 0"
	case reach == 0:
		pre.Why = "not enlarged"
	case p.Measured == nil && s.BlurPX == 0:
		pre.Why = "the picture was not measured"
	case m.Edges == 0 && s.BlurPX == 0:
		pre.Why = "the picture has too few clear edges to tell its blur by"
	case radius < preLeastPX:
		pre.Why = fmt.Sprintf("the picture is as sharp as its pixels (sigma %.2f px)", blur)
	default:
		pre.Applied = true
		pre.Amount = round(preAmount*s.PreSharpening*reach, 3)
		pre.Gain = round(1+float64(pre.Amount*(perRadius+float64(perRadius*perRadius))), 3)
		pre.Why = fmt.Sprintf("takes back some of the picture's own blur (%s, sigma %.2f px) before it is spread over %.1f times the pixels", whose, blur, p.enlarges())
	}
	return pre
}

func (p *Plan) scaleSharpening(s config.Settings, m detail.Measurement) Sharpening {
	sc := Sharpening{}
	if p.Scale.Kernel == render.KeepPixels || p.enlarges() <= 1 {
		sc.Why = "not enlarged"
		return sc
	}
	radius := min(max(scaleRadius*p.enlarges(), leastRadiusPX), mostRadiusPX)
	kept := p.Scale.Response(scaleAtCycles)
	mask := 1 - render.GaussianResponse(radius/p.enlarges(), scaleAtCycles)
	sc.RadiusPX = round(radius, 3)
	sc.Amount = round(min(max((1/kept-1)/mask, 0), scaleMost), 3)
	sc.Gain = round(1+float64(sc.Amount*perRadius), 3)
	sc.Limit = outputLimit
	sc.Applied = sc.Amount >= 0.02 && s.OutputSharpening > 0
	if s.OutputSharpening == 0 {
		sc.Why = "output sharpening is set to 0"
		return sc
	}
	sc.Why = fmt.Sprintf("%s keeps %.0f %% of the contrast at %.2f cycle a source pixel", p.Scale.Kernel, 100*min(kept, 1), scaleAtCycles)
	return sc
}

func (p *Plan) outputSharpening(s config.Settings, m detail.Measurement) Sharpening {
	look := vision.LookDistance(p.Resolution.ViewingDistanceMM)
	mm := min(look*vision.TanMinute/s.Acuity, mostRadiusMM)
	px := min(max(mm*p.Print.PPI/printsize.MMPerInch, leastRadiusPX), mostRadiusPX)
	mm = px * printsize.MMPerInch / p.Print.PPI
	ease := p.easing()
	paper, known := surface.Named(s.Surface)
	if !known {
		panic("order: no surface is called " + s.Surface) // the configuration takes no other
	}
	out := Sharpening{RadiusMM: round(mm, 4), Sharpening: render.Sharpening{
		Applied:  s.OutputSharpening > 0,
		RadiusPX: round(px, 3),
		Amount:   round(paper.Strength*s.OutputSharpening*ease, 3),
		Limit:    round(haloLimit(look/mm), 4),
	}}
	out.Gain = round(1+float64(out.Amount*perRadius), 3)
	out.Why = fmt.Sprintf("for %s paper: %.2f minutes of arc wide from %s", s.Surface, mm/look/vision.TanMinute, vision.FormatDistance(look))
	switch {
	case s.OutputSharpening == 0:
		out.Why = "set to 0"
	case ease < 1:
		out.Why += fmt.Sprintf("; eased to %.0f %%, the picture being pre-sharpened and enlarged %.1f times", 100*ease, p.enlarges())
	}
	return out
}

// perRadius is what a mask of amount 1 adds to a sine whose length is four radii:
// 1 - exp(-pi²/8).
var perRadius = 1 - render.GaussianResponse(1, 0.25)

// easing is the share of output sharpening that pre-sharpening leaves to do:
// all up to twice the size, half from six times.
func (p *Plan) easing() float64 {
	if !p.PreSharpening.Applied {
		return 1
	}
	return 1 - float64(0.5*min(max((p.enlarges()-2)/4, 0), 1))
}

// haloLimit is the change, in encoded values at mid-grey, that an eye at the
// look distance just notices beside a strong edge, for a halo whose sine is four
// radii long; radii is the look distance in radii.
//
// The eye's sensitivity over spatial frequency is the curve of J. L. Mannos and D.
// J. Sakrison, IEEE Trans. Inf. Theory 20 (1974), with a peak of 200 (typical of
// photopic vision; from memory). A strong edge beside it raises the threshold by the
// power 0.6 of its own contrast: G. E. Legge and J. M. Foley, "Contrast masking in
// human vision", JOSA 70 (1980), from memory. A Michelson contrast c is a step of
// 2 c in luminance, and 2 c / 2.2 of the encoded value there.
func haloLimit(radii float64) float64 {
	const peak, edge, power, mid = 200, 0.8, 0.6, 0.5
	perDegree := radii * math.Pi / 180 / 4 // cycles
	threshold := min(1/(peak*vision.MannosSakrison(perDegree)), edge)
	return mid * 2 * threshold * exact.Pow(edge/threshold, power) / 2.2
}

// outputLimit is that limit where the radius is one minute of arc, its usual width.
var outputLimit = haloLimit(1 / vision.TanMinute)
