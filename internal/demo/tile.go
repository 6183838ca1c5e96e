package demo

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

const (
	tileSide = 256 // pixels; a tile's colours then stay in a core's second-level cache
	rim      = 2   // pixels painted around a tile for the lens to blur from
)

// A frame is the pixel size a scene is painted at.
type frame struct{ w, h int }

// pixel returns the width of a pixel in picture heights, the unit of every scene.
func (f frame) pixel() float32 { return 1 / float32(f.h) }

// aspect returns the picture's width in picture heights.
func (f frame) aspect() float32 { return float32(f.w) / float32(f.h) }

// A layer paints itself over what is on a tile. It may be called for many tiles at once and must depend
// on nothing but the tile's place.
type layer interface{ paint(t *tile) }

// A scene lays out its layers, from the furthest to the nearest.
type scene func(frame) []layer

// tile is the part of a picture that one core paints.
type tile struct {
	frame
	number int
	x0, y0 int // top left pixel, in the frame; may be outside it by the rim
	tw, th int // size with the rim
	pix    []rgb
	water  []float32 // how much of each pixel is open water, for reflections
	wet    bool      // any of it is
	brush  brush
}

func newTile(f frame) *tile {
	const n = (tileSide + 2*rim) * (tileSide + 2*rim)
	return &tile{frame: f, pix: make([]rgb, n), water: make([]float32, n), brush: newBrush(n)}
}

func (f frame) columns() int { return (f.w + tileSide - 1) / tileSide }
func (f frame) tiles() int   { return f.columns() * ((f.h + tileSide - 1) / tileSide) }

// moveTo takes tile n of the frame, counted along the rows, and clears it.
func (t *tile) moveTo(n int) {
	t.number = n
	left, top := n%t.columns()*tileSide, n/t.columns()*tileSide
	t.x0, t.y0 = left-rim, top-rim
	t.tw = min(tileSide, t.w-left) + 2*rim
	t.th = min(tileSide, t.h-top) + 2*rim
	clear(t.pix)
	clear(t.water)
	t.wet = false
}

// A field is a layer with a colour for every point. It is asked row by row, v down in picture heights, so that
// what a row shares is worked out once; what it returns is then asked for each u across, given what is
// there, for what is there now. It returns nil for a row it has nothing on.
type field func(v float32) func(u float32, below rgb) rgb

func (f field) paint(t *tile) {
	px := t.pixel()
	for y := range t.th {
		at := f((float32(t.y0+y) + 0.5) * px)
		if at == nil {
			continue
		}
		row := t.pix[y*t.tw : (y+1)*t.tw]
		for x := range row {
			row[x] = at((float32(t.x0+x)+0.5)*px, row[x])
		}
	}
}

// A waterField is a field that also says how much of the point is open water, 0..1.
type waterField func(v float32) func(u float32, below rgb) (rgb, float32)

func (f waterField) paint(t *tile) {
	px := t.pixel()
	for y := range t.th {
		at := f((float32(t.y0+y) + 0.5) * px)
		if at == nil {
			continue
		}
		for i := y * t.tw; i < (y+1)*t.tw; i++ {
			t.pix[i], t.water[i] = at((float32(t.x0+i-y*t.tw)+0.5)*px, t.pix[i])
			t.wet = t.wet || t.water[i] > 0
		}
	}
}

// render paints every tile of the frame on all cores and hands each to develop.
func render(ctx context.Context, f frame, layers []layer, develop func(*tile)) error {
	var next atomic.Int64
	var crew sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), f.tiles()) {
		crew.Go(func() {
			t := newTile(f)
			for n := int(next.Add(1)) - 1; n < f.tiles() && ctx.Err() == nil; n = int(next.Add(1)) - 1 {
				t.moveTo(n)
				for _, l := range layers {
					l.paint(t)
				}
				develop(t)
			}
		})
	}
	crew.Wait()
	return ctx.Err()
}

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

// value returns value noise: smooth between random heights at whole coordinates, in [-1, 1].
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

// ridged returns fbm folded at zero, so that it has sharp crests near 1: rivulets and cracks.
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

// fade returns Perlin's quintic, flat to the second derivative at both ends, so that slopes show no lattice.
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

// fadeOut returns exp(-x) for x at or above 0, from a table: within 1e-5, and several times as fast.
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

// A relief is a layer seen by the slopes of a surface. It measures the height of each pixel once and takes
// the slopes from neighbours. Both functions are asked row by row, as a field is.
type relief struct {
	height func(v float32) func(u float32) float32

	// shade is the light of a point of height h that rises by across to the right and by down towards the foot of
	// the picture, both per picture height.
	shade func(v float32) func(u, h, across, down float32) rgb
}

func (r relief) paint(t *tile) {
	px, wide := t.pixel(), t.tw+1 // one more column to the left, and one more row above
	heights := make([]float32, wide*(t.th+1))
	for y := range t.th + 1 {
		at := r.height((float32(t.y0+y) - 0.5) * px)
		for x := range wide {
			heights[y*wide+x] = at((float32(t.x0+x) - 0.5) * px)
		}
	}
	for y := range t.th {
		at := r.shade((float32(t.y0+y) + 0.5) * px)
		for x := range t.tw {
			i := (y+1)*wide + x + 1
			h := heights[i]
			across, down := (h-heights[i-1])/px, (h-heights[i-wide])/px
			t.pix[y*t.tw+x] = at((float32(t.x0+x)+0.5)*px, h, across, down)
		}
	}
}
