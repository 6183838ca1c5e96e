package demo

import "image"

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

// shoulder leaves light below the knee alone and bends the rest towards 1, as film does.
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

// A plate takes the developed picture: stored values 0..1 at a pixel.
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

// falloff is the light that reaches a pixel: less by the square of its distance from the middle.
func (l look) falloff(f frame, x, y int) float32 {
	dx := (float32(x) - float32(f.w)/2) / float32(f.w) * 2
	dy := (float32(y) - float32(f.h)/2) / float32(f.h) * 2
	return 1 - l.vignette*(dx*dx+dy*dy)/2
}

// sense adds the sensor's noise: a photon count's, so it grows as the root of light, mostly alike in the
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
