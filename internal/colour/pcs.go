package colour

import (
	"fmt"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"sizewright/internal/exact"
)

// Intent is a rendering intent of ICC.1:2022 0.3.4, by its name in a configuration.
type Intent string

// The four intents.
const (
	Perceptual Intent = "perceptual"
	Relative   Intent = "relative" // media-relative colorimetric
	Saturation Intent = "saturation"
	Absolute   Intent = "absolute" // ICC-absolute colorimetric
)

var iccIntents = map[Intent]icc.RenderingIntent{
	Perceptual: icc.PerceptualRenderingIntent, Saturation: icc.SaturationRenderingIntent, Absolute: icc.AbsoluteColorimetricRenderingIntent,
	Relative: icc.RelativeColorimetricRenderingIntent, "": icc.RelativeColorimetricRenderingIntent,
}

func (i Intent) icc() (icc.RenderingIntent, error) {
	intent, known := iccIntents[i]
	if !known {
		return 0, fmt.Errorf("rendering intent %q is not known: choose perceptual, relative, saturation or absolute", string(i))
	}
	return intent, nil
}

// XYZ and Lab are colours in the profile connection space, D50: XYZ with Y = 1 for the
// perfect diffuser, Lab in CIELAB units.
type (
	XYZ [3]float64
	Lab [3]float64
)

// Lab returns the CIELAB of a colour under D50, CIE 15:2018 section 8.2.1.
func (c XYZ) Lab() Lab {
	fx, fy, fz := labF(c[0]/D50[0]), labF(c[1]/D50[1]), labF(c[2]/D50[2])
	return Lab{float64(116*fy) - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// XYZ is the inverse of [XYZ.Lab].
func (c Lab) XYZ() XYZ {
	fy := (c[0] + 16) / 116
	return XYZ{D50[0] * labG(fy+c[1]/500), D50[1] * labG(fy), D50[2] * labG(fy-c[2]/200)}
}

func labF(t float64) float64 {
	if t > 216.0/24389 {
		return exact.Cbrt(t)
	}
	return (float64(24389.0/27*t) + 16) / 116
}

func labG(f float64) float64 {
	if f > 6.0/29 {
		return f * f * f
	}
	return (float64(116*f) - 16) * 27 / 24389
}

// toXYZ converts device values to a colour, fromXYZ a colour to device values. The
// slices have at least four values. Neither is safe for concurrent use.
type (
	toXYZ   func(device []float64) XYZ
	fromXYZ func(device []float64, c XYZ)
)

// toXYZ returns the profile's conversion from device values.
func (p *Profile) toXYZ(intent Intent) (toXYZ, error) {
	i, err := intent.icc()
	if err != nil {
		return nil, err
	}
	pipe, err := p.icc.CreateTransformerToPCS(i, p.Channels, true)
	if err != nil {
		return nil, errTables
	}
	in, out := make([]float64, 16), make([]float64, 16)
	lab := p.icc.Header.ProfileConnectionSpace == icc.ColorSpaceLab
	return func(device []float64) XYZ {
		copy(in, device[:p.Channels])
		pipe.TransformGeneral(out, in)
		if lab {
			return Lab{out[0], out[1], out[2]}.XYZ()
		}
		return XYZ{out[0], out[1], out[2]}
	}, nil
}

// fromXYZ returns the profile's conversion to device values, clamped to 0..1.
func (p *Profile) fromXYZ(intent Intent) (fromXYZ, error) {
	i, err := intent.icc()
	if err != nil {
		return nil, err
	}
	pipe, err := p.icc.CreateTransformerToDevice(i, false, true)
	if err != nil {
		return nil, errTables
	}
	in, out := make([]float64, 16), make([]float64, 16)
	lab := p.icc.Header.ProfileConnectionSpace == icc.ColorSpaceLab
	return func(device []float64, c XYZ) {
		v := [3]float64(c)
		if lab {
			v = c.Lab()
		}
		copy(in, v[:])
		pipe.TransformGeneral(out, in)
		for c := range p.Channels {
			device[c] = min(max(out[c], 0), 1)
		}
	}, nil
}
