package demo

// A coast says where the water is. It is asked at one distance z for a function of x and of the octaves
// of raggedness worth drawing: the distance in metres from the water's edge, negative in the water.
type coast func(z float32) func(x float32, octaves int) float32

// A creek winds away over flat ground. Its bends are even in the logarithm of distance, so that they look even
// in the picture.
type creek struct {
	sway  float32 // how far it swings to each side, per metre of distance
	turn  float32 // bends, radians per unit of log distance
	phase float32
	width float32 // half-width of the water close by, metres
	widen float32 // more of it for each metre of distance
}

// coast is the creek's banks, ragged by half a metre where they are near enough to see.
func (c creek) coast(z float32) func(x float32, octaves int) float32 {
	arg := c.turn*log(z) + c.phase
	s, k := sin(arg), cos(arg)
	middle, half := c.sway*z*s, c.width+c.widen*z
	slant := c.sway * (s + c.turn*k)
	upright := 1 / sqrt(1+slant*slant) // turns a distance along x into one from the bank
	return func(x float32, octaves int) float32 {
		d := abs(x-middle)*upright - half
		if d > 2.6+0.02*z || d < -1.2 {
			return d
		}
		return d + 0.5*fbm(x*0.9, z*0.9, octaves) + 0.6*fbm(x*0.21, z*0.12, 2)
	}
}

// pools is flooded saltings: islands of grass in open water.
type pools struct {
	size     float32 // metres
	land     float32 // -1 nearly all water, 1 nearly all land
	from, to float32 // the share of land grows from one distance to the other, metres
	drift    float32 // which part of the noise
}

func (p pools) coast(z float32) func(x float32, octaves int) float32 {
	share := p.land * smoothstep(p.from, p.to, z)
	return func(x float32, octaves int) float32 {
		x, y := x/p.size+p.drift, z/p.size*0.6
		level := fbm(x, y, 2) + share - 0.25
		if near := smoothstep(0.2, 0.08, abs(level)); near > 0 {
			level += 0.1 * near * fbm(x*5, y*5, octaves)
		}
		return p.size * 0.8 * level
	}
}
