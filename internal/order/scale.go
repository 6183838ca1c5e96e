package order

import (
	"math"

	"sizewright/internal/config"
	"sizewright/internal/render"
)

// scale settles the resampling. Reducing averages light, so it is done in
// linear light, each colour alike. Enlarging there makes the dark side of a halo
// far more visible than the light side; encoded values are closer to even steps for
// the eye (ImageMagick's examples, "Resampling Filters", A. Thyssen and N.
// Robidoux), and a sigmoid around them and the halo limit take what is left.
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
}

const (
	// chromaKernel: the eye sees colour at a third of the detail of lightness
	// (common practice, no source), so its differences take a shorter kernel, which
	// overshoots less. A JPEG's coarse chroma goes from its own grid to the print's at
	// once: to be refined first and enlarged then would soften it twice.
	chromaKernel  = "catmull-rom"
	pixelAperture = 1. / 24
	scaleCurve    = 0.6 // measured with scripts/quality.sh: more is better in PSNR and overshoot up to here, and little after
)

// enlarges is the larger of the two scales: they differ by less than a pixel
// over the print's side.
func (p *Plan) enlarges() float64 { return max(p.Scale.X, p.Scale.Y) }
