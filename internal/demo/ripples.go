package demo

// rippledMud is bare ground shaped by running water.
type rippledMud struct {
	camera
	drift    float32 // which part of the noise
	dry, wet rgb
}

// height is the bed's height, about -1..1: ripple marks about 9 cm apart, bent and forked by the noise, on
// broad heaps, cut by runnels, with a fine crumb.
func (m rippledMud) height(x, z float32, octaves int) float32 {
	x += m.drift
	bend := fbm(x*0.9, z*0.9, 3)
	wave := sin((z*1.05+x*0.22)*70 + bend*9 + 2.2*value(x*3.1, z*3.1))
	heap := 0.9*fbm(x*0.55+5, z*0.55, 3) + 0.35*bend
	cut := smoothstep(0.72, 0.98, ridged(x*0.42+2.3+0.25*bend, z*0.3+7.7, 3))
	crumb := 0.2 * fbm(x*16, z*16, octaves)
	if octaves > 4 { // close by, single grains
		crumb += 0.10 * fbm(x*130, z*130, octaves-4)
	}
	return (0.30+0.25*value(x*1.7, z*1.7))*wave*(1-cut) + heap - 1.1*cut + crumb
}

func (m rippledMud) layer(f frame, air *sky) layer {
	px := f.pixel()
	return relief{
		height: func(v float32) func(u float32) float32 {
			_, z := m.ground(0, v)
			octaves := octavesFor(16, px*z/m.focal, 7)
			return func(u float32) float32 { return m.height((u-m.centre)*z/m.focal, z, octaves) }
		},
		shade: func(v float32) func(u, h, across, down float32) rgb {
			_, z := m.ground(0, v)
			// From slopes on the picture to slopes on the ground, over slopeStep metres.
			perAcross := slopeStep * m.focal / z
			perDown := slopeStep * m.focal * m.camera.height / (z * z)
			return func(u, h, across, down float32) rgb {
				return m.shade(air, pt{u, v - m.horizon}, h, across*perAcross, down*perDown)
			}
		},
	}
}

var lowSun, skylight = hex(0xffe2bd), hex(0x3c4a60)

// slopeStep is the distance, in metres, over which shade reckons slopes.
const slopeStep = 0.004

// shade lights the mud from the left and from beyond. across is how much it rises to the right and down how
// much it rises towards the camera, over slopeStep; at.v is how far below the horizon it is seen.
func (m rippledMud) shade(air *sky, at pt, h, across, down float32) rgb {
	wetness := smoothstep(0.55, -0.45, h)
	light := clamp01(0.30 - 2.6*across - 1.7*down + 0.1*h)
	c := m.dry.to(m.wet, wetness*0.75).tint(lowSun.times(3.4 * light).plus(skylight))
	// Wet slopes mirror the part of the sky they face; standing water mirrors it level.
	film := smoothstep(0.35, 0.95, wetness)
	shine := air.at(at.u-across*0.5, at.v*0.55+down*1.6)
	c = c.plus(shine.times((0.05 + 0.16*film) * max(1+3*down-1.5*across, 0)))
	pool := smoothstep(-0.62, -0.70, h)
	return c.to(air.at(at.u, at.v*0.8), pool*0.62)
}
