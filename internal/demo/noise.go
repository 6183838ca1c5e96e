package demo

import (
	"math"
	"math/rand/v2"
)

// latticeSide is the period of the noise; a power of two so that wrapping is a mask.
const latticeSide = 128

// A cell is the bilinear surface between four neighbouring heights: at + u·x + v·y + uv·xy. Kept together they
// come from memory in one piece.
type cell struct{ at, x, y, xy float32 }

// lattice joins random heights at whole coordinates.
var lattice = newLattice()

func newLattice() *[latticeSide * latticeSide]cell {
	rnd := rand.New(rand.NewPCG(0x5a17, 0x3a25))
	var height [latticeSide][latticeSide]float32
	for y := range height {
		for x := range height[y] {
			height[y][x] = rnd.Float32()*2 - 1
		}
	}
	var l [latticeSide * latticeSide]cell
	for y := range height {
		for x := range height[y] {
			a, b := height[y][x], height[y][(x+1)%latticeSide]
			c, d := height[(y+1)%latticeSide][x], height[(y+1)%latticeSide][(x+1)%latticeSide]
			l[y*latticeSide+x] = cell{a, b - a, c - a, a - b - c + d}
		}
	}
	return &l
}

// value is value noise: smooth between random heights at whole coordinates, in [-1, 1].
func value(x, y float32) float32 {
	xi, yi := floor(x), floor(y)
	u, v := fade(x-float32(xi)), fade(y-float32(yi))
	const mask = latticeSide - 1
	c := &lattice[(yi&mask)*latticeSide+xi&mask]
	return c.at + c.x*u + (c.y+c.xy*u)*v
}

// fbm sums octaves of value noise, each twice as fine and half as strong ("fractional Brownian motion");
// in about [-1, 1]. Each octave is turned and shifted so that the lattices do not line up.
func fbm(x, y float32, octaves int) float32 {
	var sum float32
	amplitude := float32(0.5)
	for range octaves {
		sum += amplitude * value(x, y)
		amplitude *= 0.5
		x, y = 1.6*x-1.2*y+17.3, 1.2*x+1.6*y+41.7
	}
	return sum
}

// ridged is fbm folded at zero, so that it has sharp crests near 1: rivulets and cracks.
func ridged(x, y float32, octaves int) float32 {
	var sum, total float32
	amplitude := float32(0.5)
	for range octaves {
		n := 1 - abs(value(x, y))*1.6
		sum += amplitude * n
		total += amplitude
		amplitude *= 0.5
		x, y = 1.6*x-1.2*y+17.3, 1.2*x+1.6*y+41.7
	}
	return sum / total
}

// octavesFor says how many octaves of fbm a pixel can show: those with a wavelength above two pixels, from
// base cycles and a pixel of the given width, both in one unit. Finer ones would only alias.
func octavesFor(base, pixel float32, most int) int {
	n := int(math.Log2(float64(1/(2*base*pixel)))) + 1
	return max(1, min(n, most))
}

// hash scrambles a place and a salt into 32 even bits: random access where a generator's order would
// depend on which core came first.
func hash(x, y, salt uint32) uint32 {
	h := x*0x9e3779b1 ^ y*0x85ebca77 ^ salt*0xc2b2ae3d
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 12
	h *= 0x297a2d39
	h ^= h >> 15
	return h
}

func floor(x float32) int {
	i := int(x)
	if float32(i) > x {
		i--
	}
	return i
}

// fade is Perlin's quintic, flat to the second derivative at both ends, so that slopes show no lattice.
func fade(t float32) float32 { return t * t * t * (t*(t*6-15) + 10) }

func mix(a, b, t float32) float32 { return a + (b-a)*t }

func clamp01(x float32) float32 { return min(max(x, 0), 1) }

// smoothstep rises from 0 at a to 1 at b with level ends; a may be above b.
func smoothstep(a, b, x float32) float32 {
	t := clamp01((x - a) / (b - a))
	return t * t * (3 - 2*t)
}

func abs(x float32) float32 {
	if x < 0 {
		return -x
	}
	return x
}

func sqrt(x float32) float32 { return float32(math.Sqrt(float64(x))) }
func exp(x float32) float32  { return float32(math.Exp(float64(x))) }
func log(x float32) float32  { return float32(math.Log(float64(x))) }
func sin(x float32) float32  { return float32(math.Sin(float64(x))) }
func cos(x float32) float32  { return float32(math.Cos(float64(x))) }
func pow(x, p float32) float32 {
	return float32(math.Pow(float64(x), float64(p)))
}

// fadeOut is exp(-x) for x at or above 0, from a table: within 1e-5, and several times as fast.
func fadeOut(x float32) float32 {
	p := x * (fadeSteps / fadeReach)
	if p >= fadeSteps {
		return 0
	}
	i := int(p)
	return mix(fadeTable[i], fadeTable[i+1], p-float32(i))
}

const (
	fadeReach = 12.0 // exp(-12) is 6e-6: black
	fadeSteps = 2048
)

var fadeTable = func() (t [fadeSteps + 1]float32) {
	for i := range t {
		t[i] = exp(-fadeReach * float32(i) / fadeSteps)
	}
	return t
}()
