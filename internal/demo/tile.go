package demo

import (
	"context"
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

// pixel is the width of a pixel in picture heights, the unit of every scene.
func (f frame) pixel() float32 { return 1 / float32(f.h) }

// aspect is the picture's width in picture heights.
func (f frame) aspect() float32 { return float32(f.w) / float32(f.h) }

// A layer paints itself over what is on a tile. It may be called for many tiles at once and must depend
// on nothing but the tile's place.
type layer interface{ paint(t *tile) }

// A scene lays out its layers, from the furthest to the nearest.
type scene func(frame) []layer

// tile is the part of a picture one core has in hand.
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
