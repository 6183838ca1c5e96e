package demo

import (
	"image"

	"sizewright/internal/colour"
)

// camera is a level camera over flat ground: distances in metres, screen in picture heights.
type camera struct {
	horizon float32 // v of the horizon
	centre  float32 // u of the optical axis
	focal   float32 // focal length in picture heights: 28 mm on a 24 mm high sensor is 1.17
	height  float32 // of the lens over the ground, metres
	focus   float32 // distance in focus, metres
	blur    float32 // blur radius of a point at infinity, picture heights
}

// ground returns the point of the plane seen at (u, v), v below the horizon: x to the right and z away, metres.
func (c camera) ground(u, v float32) (x, z float32) {
	z = c.focal * c.height / max(v-c.horizon, 1e-5)
	return (u - c.centre) * z / c.focal, z
}

// screen returns where the camera sees a point y metres above the plane.
func (c camera) screen(x, y, z float32) pt {
	return pt{c.centre + c.focal*x/z, c.horizon + c.focal*(c.height-y)/z}
}

// size returns how large a metre at distance z appears, in picture heights.
func (c camera) size(z float32) float32 { return c.focal / z }

// softness returns the radius of a thin lens's circle of confusion at distance z: blur·|1 - focus/z|.
func (c camera) softness(z float32) float32 { return c.blur * abs(1-c.focus/z) }

// A look is how the camera and the film see a scene.
type look struct {
	space    *space
	exposure float32 // linear gain
	contrast float32 // exponent about middle grey
	noise    float32 // shot noise: standard deviation at white
	vignette float32 // light lost in the corners, 0..1
	salt     uint32  // which noise
}

// curveTop is the brightest light the curve tells apart; the shoulder is flat there.
const curveTop = 8

// curve maps linear light to a stored value, tabulated over the square root of light, in which the
// transfer curves are nearly straight.
type curve [4096]float32

func newCurve(l look) *curve {
	var c curve
	for i := range c {
		root := float64(i) / float64(len(c)-1)
		light := float32(root*root) * curveTop * l.exposure
		light = 0.18 * pow(light/0.18, l.contrast)
		c[i] = float32(l.space.encode(float64(shoulder(light))))
	}
	return &c
}

// shoulder does not change light below the knee and compresses the rest towards 1, as film does.
func shoulder(x float32) float32 {
	const knee = 0.6
	if x <= knee {
		return x
	}
	return knee + (1-knee)*(1-exp(-(x-knee)/(1-knee)))
}

func (c *curve) at(light float32) float32 {
	p := sqrt(clamp01(light/curveTop)) * float32(len(c)-1)
	i := min(int(p), len(c)-2)
	return mix(c[i], c[i+1], p-float32(i))
}

// A plate stores the developed picture: values 0..1 at a pixel.
type plate interface{ set(x, y int, c rgb) }

// developer returns what render calls with each painted tile: lens, sensor, film, plate.
func developer(f frame, l look, p plate) func(*tile) {
	c := newCurve(l)
	return func(t *tile) {
		for y := rim; y < t.th-rim; y++ {
			for x := rim; x < t.tw-rim; x++ {
				px, py := t.x0+x, t.y0+y
				light := t.throughLens(x, y).times(l.falloff(f, px, py))
				light = l.sense(light, px, py)
				p.set(px, py, rgb{c.at(light.r), c.at(light.g), c.at(light.b)})
			}
		}
	}
}

// throughLens blurs by a little under a pixel: the binomial 1-4-1 in each direction.
func (t *tile) throughLens(x, y int) rgb {
	i := y*t.tw + x
	up, here, down := t.pix[i-t.tw-1:i-t.tw+2], t.pix[i-1:i+2], t.pix[i+t.tw-1:i+t.tw+2]
	corners := up[0].plus(up[2]).plus(down[0]).plus(down[2])
	edges := up[1].plus(down[1]).plus(here[0]).plus(here[2])
	return corners.times(1.0 / 36).plus(edges.times(4.0 / 36)).plus(here[1].times(16.0 / 36))
}

// falloff returns the light that reaches a pixel: less by the square of its distance from the middle.
func (l look) falloff(f frame, x, y int) float32 {
	dx := (float32(x) - float32(f.w)/2) / float32(f.w) * 2
	dy := (float32(y) - float32(f.h)/2) / float32(f.h) * 2
	return 1 - l.vignette*(dx*dx+dy*dy)/2
}

// sense adds the sensor's noise. It is photon noise, which grows with the root of light, nearly equal in the
// three channels (as it is after a camera's own noise reduction), with a floor from reading out.
func (l look) sense(c rgb, x, y int) rgb {
	h := hash(uint32(x), uint32(y), l.salt)
	grey := float32(h&1023) + float32(h>>10&1023) + float32(h>>20&1023) - 1534.5
	g := hash(uint32(y), uint32(x), l.salt+1)
	sigma := l.noise * sqrt(c.luminance()+0.002) / 511
	red, green, blue := float32(g&1023)-511.5, float32(g>>10&1023)-511.5, float32(g>>20&1023)-511.5
	return rgb{
		max(c.r+sigma*(grey+0.5*red), 0),
		max(c.g+sigma*(grey+0.4*green), 0),
		max(c.b+sigma*(grey+0.6*blue), 0),
	}
}

// The plates. rgbPlate and deepPlate are opaque.
type (
	rgbPlate  struct{ *image.RGBA }
	deepPlate struct{ *image.RGBA64 }
	greyPlate struct{ *image.Gray }
)

func (p rgbPlate) set(x, y int, c rgb) {
	i := p.PixOffset(x, y)
	d := p.Pix[i : i+4 : i+4]
	d[0], d[1], d[2], d[3] = to8(c.r), to8(c.g), to8(c.b), 255
}

func (p deepPlate) set(x, y int, c rgb) {
	i := p.PixOffset(x, y)
	d := p.Pix[i : i+8 : i+8]
	for k, v := range [4]uint16{to16(c.r), to16(c.g), to16(c.b), 65535} {
		d[2*k], d[2*k+1] = byte(v>>8), byte(v)
	}
}

func (p greyPlate) set(x, y int, c rgb) { p.Pix[p.PixOffset(x, y)] = to8(c.luminance()) }

func to8(v float32) uint8   { return uint8(v*255 + 0.5) }
func to16(v float32) uint16 { return uint16(v*65535 + 0.5) }

// turnedPlate stores an upright picture as a camera held on its side does, to be shown with EXIF
// orientation 6 (turned a quarter clockwise): what is shown at (x, y) is stored at (y, last row - x).
type turnedPlate struct {
	plate
	rows int // height as stored
}

func (p turnedPlate) set(x, y int, c rgb) { p.plate.set(y, p.rows-1-x, c) }

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

// encode returns the stored value 0..1 of linear light 0..1: Decode's inverse, by halving, to 2^-40.
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

// hex returns an sRGB colour, 0xRRGGBB, made linear.
func hex(c uint32) rgb { return srgbSpace.colour(c) }

// A ramp is a smooth run of colours over 0..1, tabulated.
type ramp [1024]rgb

type stop struct {
	at float32
	c  rgb
}

// newRamp puts a Catmull-Rom curve through the stops, which are in rising order. Straight lines between
// them would show as Mach bands in an even sky.
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

// A haze is air that hides what is far off behind its own light.
type haze struct {
	colour rgb
	half   float32 // distance at which half of the light is the air's, metres
}

// share returns how much of the light from distance z is the air's. The exponent above 1 keeps the foreground
// clear, as it is when the haze lies in the distance rather than at the camera.
func (h haze) share(z float32) float32 {
	k := z / h.half
	return 1 - exp(-0.693*k*sqrt(k))
}

// veil adds the haze of distance z to strokes.
func (h haze) veil(all []stroke, z float32) {
	k := h.share(z)
	for i := range all {
		all[i].from, all[i].to = all[i].from.to(h.colour, k), all[i].to.to(h.colour, k)
	}
}
