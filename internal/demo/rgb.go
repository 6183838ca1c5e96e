package demo

import "sizewright/internal/colour"

// rgb is light in the picture's own colour space, linear, 1 the paper white; a scene may go above 1 and the
// film shoulder brings it back.
type rgb struct{ r, g, b float32 }

func (c rgb) times(k float32) rgb { return rgb{c.r * k, c.g * k, c.b * k} }
func (c rgb) plus(d rgb) rgb      { return rgb{c.r + d.r, c.g + d.g, c.b + d.b} }

// tint multiplies channel by channel: a light d on a surface c.
func (c rgb) tint(d rgb) rgb { return rgb{c.r * d.r, c.g * d.g, c.b * d.b} }

// to mixes linearly, c at t 0, d at t 1.
func (c rgb) to(d rgb, t float32) rgb {
	return rgb{mix(c.r, d.r, t), mix(c.g, d.g, t), mix(c.b, d.b, t)}
}

// luminance weighs the channels as sRGB's primaries do (IEC 61966-2-1, Y row, rounded).
func (c rgb) luminance() float32 { return 0.2126*c.r + 0.7152*c.g + 0.0722*c.b }

// A space is a colour space by its transfer curve alone; scenes paint in its primaries.
type space struct {
	colour.RGBSpace
	decoded [256]float32 // 8-bit stored values to linear
}

func newSpace(of colour.RGBSpace) *space {
	s := &space{RGBSpace: of}
	for i := range s.decoded {
		s.decoded[i] = float32(of.Decode(float64(i) / 255))
	}
	return s
}

var (
	srgbSpace = newSpace(colour.SRGB)
	a98Space  = newSpace(colour.A98)
)

// encode is the stored value 0..1 of linear light 0..1: Decode's inverse, by halving, to 2^-40.
func (s *space) encode(light float64) float64 {
	low, high := 0.0, 1.0
	for range 40 {
		if middle := (low + high) / 2; s.Decode(middle) < light {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// colour reads a stored 0xRRGGBB of the space as linear light.
func (s *space) colour(hex uint32) rgb {
	return rgb{s.decoded[hex>>16&255], s.decoded[hex>>8&255], s.decoded[hex&255]}
}

// hex is a colour as a person reads it off a screen, made linear.
func hex(c uint32) rgb { return srgbSpace.colour(c) }

// A ramp is a smooth run of colours over 0..1, tabulated.
type ramp [1024]rgb

type stop struct {
	at float32
	c  rgb
}

// newRamp runs a Catmull-Rom curve through the stops, which are in rising order. Straight lines between
// them would show as bands (Mach bands) in an even sky.
func newRamp(stops ...stop) *ramp {
	var r ramp
	for i := range r {
		x := float32(i) / float32(len(r)-1)
		k := 0
		for k < len(stops)-2 && x > stops[k+1].at {
			k++
		}
		a, b := stops[k], stops[k+1]
		before, after := stops[max(k-1, 0)], stops[min(k+2, len(stops)-1)]
		t := clamp01((x - a.at) / (b.at - a.at))
		slopeA := slope(before, b).times(b.at - a.at)
		slopeB := slope(a, after).times(b.at - a.at)
		r[i] = hermite(a.c, b.c, slopeA, slopeB, t)
	}
	return &r
}

func slope(a, b stop) rgb { return b.c.plus(a.c.times(-1)).times(1 / (b.at - a.at)) }

func hermite(a, b, slopeA, slopeB rgb, t float32) rgb {
	t2, t3 := t*t, t*t*t
	c := a.times(2*t3 - 3*t2 + 1).plus(slopeA.times(t3 - 2*t2 + t))
	c = c.plus(b.times(3*t2 - 2*t3)).plus(slopeB.times(t3 - t2))
	return rgb{max(c.r, 0), max(c.g, 0), max(c.b, 0)}
}

func (r *ramp) at(x float32) rgb {
	p := clamp01(x) * float32(len(r)-1)
	i := min(int(p), len(r)-2)
	return r[i].to(r[i+1], p-float32(i))
}
