package order

import (
	"fmt"
	"math"

	"sizewright/internal/config"
	"sizewright/internal/learned"
	"sizewright/internal/render"
)

// scale sets the resampling. A reduction averages light, so it works in linear light,
// on each colour alike. An enlargement in linear light would make the dark side of a
// halo far more visible than the light side; encoded values are closer to even steps
// for the eye (ImageMagick's examples, "Resampling Filters", A. Thyssen and N.
// Robidoux). A sigmoid around them and the halo limit reduce what is left.
func (p *Plan) scale(set config.Settings) {
	s := render.Scale{
		X:      float64(p.Print.Width) / p.Crop.Width,
		Y:      float64(p.Print.Height) / p.Crop.Height,
		Kernel: set.Kernel, ChromaKernel: chromaKernel,
		Light: "encoded",
	}
	switch {
	case s.X == 1 && s.Y == 1 && p.Crop.X == math.Floor(p.Crop.X) && p.Crop.Y == math.Floor(p.Crop.Y):
		s.Kernel = render.KeepPixels
		if p.Picture.Subsampling == "" {
			s.ChromaKernel = render.KeepPixels
		}
	case s.X < 1 || s.Y < 1:
		s.Light, s.ChromaKernel = "linear", s.Kernel
	default:
		s.Aperture, s.Curve, s.HaloLimit, s.HaloReach = pixelAperture, scaleCurve, true, render.HaloReach
	}
	p.Scale = s
	p.predict(set)
}

// learnedFrom is the least enlargement that a network adds to: nearer to the file's own
// pixels there is little that it could predict.
const learnedFrom = 1.2

// network returns the network that these settings ask for, nil for none.
func (p *Plan) network(set config.Settings) *learned.Network {
	if set.Enlarge != config.EnlargeLearned || p.Scale.Light != "encoded" || p.enlarges() < learnedFrom {
		return nil
	}
	return learned.For(p.enlarges())
}

// predict adds what a network predicts, as much as the trial on the picture bears out.
func (p *Plan) predict(set config.Settings) {
	net := p.network(set)
	switch {
	case set.Enlarge != config.EnlargeLearned:
		return
	case net == nil:
		p.Predicted = fmt.Sprintf("nothing: a network adds to enlargements by %.3g and more", learnedFrom)
		return
	case p.Measured == nil:
		p.Predicted = "as much as a trial on the picture bears out"
		return
	}
	for _, l := range p.Measured.Learned {
		if l.Weights == net.Digest && l.Share > 0 {
			p.Scale.Learned = l.Learned
			p.Predicted = fmt.Sprintf("%.0f %% of what the network of weights %.8s predicts, by a trial on the picture", 100*l.Share, l.Weights)
			return
		}
	}
	p.Predicted = "nothing: a trial on the picture did not bear it out"
}

// predictedGain is the factor of what a network adds on the contrast of the finest detail,
// 1 if none adds.
func (p *Plan) predictedGain() float64 {
	if p.Scale.Learned != (render.Learned{}) {
		for _, l := range p.Measured.Learned {
			if l.Learned == p.Scale.Learned {
				return l.Gain
			}
		}
	}
	return 1
}

const (
	// chromaKernel: the eye sees colour at a third of the detail of lightness (common
	// practice, no source), so the colour differences use a shorter kernel, which
	// overshoots less. A JPEG's coarse chroma is enlarged from its own grid to the
	// print's in one step: refining it first would soften it twice.
	chromaKernel  = "catmull-rom"
	pixelAperture = 1. / 24
	scaleCurve    = 0.6 // measured with scripts/quality.sh: PSNR and overshoot improve up to here and little beyond
)

// enlarges returns the larger of the two scales. They differ by less than a pixel over
// the print's side.
func (p *Plan) enlarges() float64 { return max(p.Scale.X, p.Scale.Y) }
