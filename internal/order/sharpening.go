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

// Sharpening is one of the three stages of sharpening, with the reason for its numbers.
// [render.Sharpening] describes the masks.
//
// Pre-sharpening: the radius is the picture's own blur, measured at its sharpest edges
// (see package detail) or set. The amount is small (house judgement). It grows from
// nothing at 1:1 to its full share where the picture is doubled, because only
// enlarging spreads the blur. What a network adds of the finest detail's contrast is taken
// off.
//
// Scale sharpening restores what the kernel takes from the picture's finest detail. Its
// amount brings the response of kernel and mask together to one at 0.35 cycle a source
// pixel (house judgement); its radius is half a source pixel. A kernel that keeps that
// frequency needs none.
//
// Output sharpening is for the paper and the eye. It is computed for the geometric mean
// of the near point and the viewing distance, because people stand back and then come
// nearer (house judgement). The radius is one minute of arc from there, in millimetres
// on paper (the acuity of ISO 8596; less for a sharper viewer), so its effect in cycles
// per degree is the same at every size and ppi. The amount depends on the surface: the
// more ink spreads and texture scatters, the more (house judgement). It is reduced, to
// a half at most, where the picture was pre-sharpened and is much enlarged: little is
// left to do after that (common practice, no source).
//
// What limits the masks (house judgement, except for the sources):
//
//	noise    t is computed from the picture's measured noise and the mask's effect
//	         on it, so that flat noise grows by no more than NoiseGain, also where
//	         it is half as strong again as in the calmest areas (see spread)
//	edges    output sharpening's limit is what an eye just notices beside a strong
//	         edge, see haloLimit
//	shadows  the full mask from luma 0.12, or from up to 0.35 where the picture's
//	         shadows are noisier than its highlights
type Sharpening struct {
	render.Sharpening
	RadiusMM float64 `json:"radius_mm,omitempty"` // sigma on paper; output sharpening only
	Gain     float64 `json:"gain"`                // factor on the contrast of a sine of four radii's length, without the limits
	Why      string  `json:"why"`
}

// NoiseGain is the most by which all sharpening together may multiply the noise of a
// smooth area (its standard deviation in the same print without sharpening).
const NoiseGain = 1.10

const (
	preAmount     = 0.5
	preLimit      = 0.06
	preLeastPX    = 0.3
	preMostPX     = 1.2 // stronger blur is not deconvolved
	scaleAtCycles = 0.35
	scaleRadius   = 0.5 // source pixels
	scaleMost     = 0.6
	leastRadiusPX = 0.4 // a narrower blur does nothing on a raster
	mostRadiusMM  = 0.3 // wider would be local contrast, which the photographer decides
	mostRadiusPX  = 9.0 // limits the halo of a tile
	shadowFull    = 0.12
	shadowNoisy   = 0.35
)

// sharpening sets the three stages, with or without measurements.
func (p *Plan) sharpening(s config.Settings) {
	var m detail.Measurement
	if p.Measured != nil {
		m = p.Measured.Measurement
	}
	p.PreSharpening = p.preSharpening(s, m)
	p.ScaleSharpening = p.scaleSharpening(s)
	p.OutputSharpening = p.outputSharpening(s)
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
		pre.Why = "the picture has too few clear edges to measure its blur"
	case radius < preLeastPX:
		pre.Why = fmt.Sprintf("the picture is as sharp as its pixels (sigma %.2f px)", blur)
	default:
		pre.Applied = true
		pre.Amount = round(preAmount*s.PreSharpening*reach, 3)
		pre.Why = fmt.Sprintf("removes some of the picture's own blur (%s, sigma %.2f px) before it is spread over %.1f times the pixels", whose, blur, p.enlarges())
		p.afterPrediction(&pre)
	}
	return pre
}

// afterPrediction lets pre-sharpening add only what a network has not added already.
func (p *Plan) afterPrediction(pre *Sharpening) {
	each := perRadius + float64(perRadius*perRadius)
	gain := 1 + float64(pre.Amount*each)
	if g := p.predictedGain(); g > 1 {
		gain = max(1, gain/g)
		pre.Amount = round((gain-1)/each, 3)
		adds := fmt.Sprintf("the network adds %.0f %% to the finest detail's contrast already", 100*(g-1))
		pre.Why += "; " + adds
		if pre.Amount < 0.02 {
			pre.Applied, pre.Why = false, adds
		}
	}
	pre.Gain = round(gain, 3)
}

func (p *Plan) scaleSharpening(s config.Settings) Sharpening {
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

func (p *Plan) outputSharpening(s config.Settings) Sharpening {
	look := vision.LookDistance(p.Resolution.ViewingDistanceMM)
	mm := min(look*vision.TanMinute/s.Acuity, mostRadiusMM)
	px := min(max(mm*p.Print.PPI/printsize.MMPerInch, leastRadiusPX), mostRadiusPX)
	mm = px * printsize.MMPerInch / p.Print.PPI
	ease := p.easing()
	paper, known := surface.Named(s.Surface)
	if !known {
		panic("order: no surface is called " + s.Surface) // the configuration allows no other
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
		out.Why += fmt.Sprintf("; reduced to %.0f %%, because the picture is pre-sharpened and enlarged %.1f times", 100*ease, p.enlarges())
	}
	return out
}

// perRadius is what a mask of amount 1 adds to a sine whose length is four radii:
// 1 - exp(-pi²/8).
var perRadius = 1 - render.GaussianResponse(1, 0.25)

// easing returns the share of output sharpening that is applied after pre-sharpening:
// all of it up to twice the size, half from six times.
func (p *Plan) easing() float64 {
	if !p.PreSharpening.Applied {
		return 1
	}
	return 1 - float64(0.5*min(max((p.enlarges()-2)/4, 0), 1))
}

// haloLimit returns the change, in encoded values at mid-grey, that an eye at the
// look distance just notices beside a strong edge, for a halo whose sine is four
// radii long. radii is the look distance in radii.
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

// outputLimit is haloLimit for a radius of one minute of arc, the usual width.
var outputLimit = haloLimit(1 / vision.TanMinute)
