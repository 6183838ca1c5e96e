package colour

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strconv"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"sizewright/internal/exact"
)

// The map draws a miss of minDrawn to maxDrawn CIEDE2000 along the scale, linearly,
// and a larger miss as the end of the scale. The scale is perceptually even, so twice
// the miss looks twice as far along. Smaller misses are invisible and are not drawn;
// neither are dark colours that only become lighter (see isDepth).
const (
	minDrawn = 1
	maxDrawn = 12
)

// linearRGB is a colour in the linear light of sRGB, 0..1.
type linearRGB [3]float32

// mapScale is the scale from the smallest to the largest miss: from dark blue-violet
// through rose and orange to pale yellow, always lighter, so that it works in grey and
// with any colour vision. It is our own path through CIELAB at equal steps of
// CIEDE2000.
var mapScale = sync.OnceValue(func() (scale [256]Lab) {
	const fine = 8192
	var along [fine + 1]float64
	for i := 1; i <= fine; i++ {
		along[i] = along[i-1] + deltaE(scalePath(float64(i-1)/fine), scalePath(float64(i)/fine))
	}
	for i := range scale {
		scale[i] = scalePath(inverseSample(along[:], along[fine]*float64(i)/float64(len(scale)-1)))
	}
	return scale
})

// scalePath is the scale before its steps are made equal, for t from 0 to 1. All of it
// is inside sRGB.
func scalePath(t float64) Lab {
	l := 22 + float64(94*t) - float64(20*t*t)
	c := 44 + float64(15*t) - float64(31*t*t)
	h := (300 + float64(160*t)) * math.Pi / 180 // through 360, which is rose, to yellow
	return Lab{l, c * exact.Cos(h), c * exact.Sin(h)}
}

// ground returns the colour of the dimmed picture: its lightness without colour,
// compressed into dark greys below the scale.
func ground(lightness float64) Lab {
	return Lab{8 + float64(0.26*min(max(lightness, 0), 100)), 0, 0}
}

// palette holds the colours of the scale and of the ground.
type palette struct {
	scale  [256]linearRGB
	ground [256]linearRGB // by lightness 0..100
}

var mapPalette = sync.OnceValue(func() *palette {
	p := &palette{}
	for i, c := range mapScale() {
		p.scale[i] = c.linear()
		p.ground[i] = ground(float64(i) / 255 * 100).linear()
	}
	return p
})

// of returns the colour in which a colour of the picture is drawn: along the scale if it
// misses by more than from.
func (p *palette) of(c *converted, from float32) linearRGB {
	if c.seen <= max(from, minDrawn) {
		return p.ground[int(float32(unit(c.asked[0]/100)*255)+0.5)]
	}
	return p.scale[int(float32(unit((c.seen-minDrawn)/(maxDrawn-minDrawn))*255)+0.5)]
}

// Map draws where and by how much the picture misses by more than from (CIEDE2000; at
// least 1), over the dimmed picture, with a legend below. The picture part is at most maxSide pixels long and never larger than
// the picture. A map pixel that stands for several measured pixels is their average in
// linear light: if one in ten misses, the map pixel is a tenth as bright.
func (m *Measurement) Map(maxSide int, from float64) image.Image {
	scale := min(1, float64(max(maxSide, 1))/float64(max(m.width, m.height)))
	w := max(1, int(math.Round(float64(m.width)*scale)))
	h := max(1, int(math.Round(float64(m.height)*scale)))
	img := image.NewRGBA(image.Rect(0, 0, w, h+legendHeight))
	m.drawMisses(img, w, h, float32(from))
	drawLegend(img, image.Rect(0, h, w, h+legendHeight), from)
	return img
}

func (m *Measurement) drawMisses(img *image.RGBA, w, h int, from float32) {
	colours := mapPalette()
	drawn := make([]linearRGB, len(m.colours))
	for i := range m.colours {
		drawn[i] = colours.of(&m.colours[i], from)
	}
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, m.average(drawn, span(x, w, m.cols), span(y, h, m.rows)).rgba())
		}
	}
}

// span returns the lattice points of map pixel i of n, at least one.
func span(i, n, points int) [2]int {
	from := i * points / n
	return [2]int{from, max(from+1, (i+1)*points/n)}
}

func (m *Measurement) average(drawn []linearRGB, xs, ys [2]int) (sum linearRGB) {
	for y := ys[0]; y < ys[1]; y++ {
		for _, s := range m.sample[y*m.cols+xs[0] : y*m.cols+xs[1]] {
			for c := range sum {
				sum[c] += drawn[s][c]
			}
		}
	}
	n := float32((xs[1] - xs[0]) * (ys[1] - ys[0]))
	for c := range sum {
		sum[c] /= n
	}
	return sum
}

// linear returns the colour in sRGB's linear light, clipped to the gamut.
func (c Lab) linear() (out linearRGB) {
	for i, v := range mulVec(toLinearSRGB(), c.XYZ()) {
		out[i] = unit(float32(v))
	}
	return out
}

var toLinearSRGB = sync.OnceValue(func() [3][3]float64 { return inverse(SRGB.Matrix()) })

func (c linearRGB) rgba() color.RGBA {
	enc := encodeSRGB()
	at := func(v float32) uint8 { return uint8(float32(255*enc.at(v)) + 0.5) }
	return color.RGBA{at(c[0]), at(c[1]), at(c[2]), 255}
}

// encodeSRGB is the inverse of the curve of IEC 61966-2-1.
var encodeSRGB = sync.OnceValue(func() *octaves {
	return newOctaves(func(lin float64) float64 {
		if lin <= 0.0031308 {
			return 12.92 * lin
		}
		return float64(1.055*exact.Pow(lin, 1/2.4)) - 0.055
	})
})

// MissColour returns the colour in which the map draws a miss, for a legend elsewhere.
func MissColour(miss float64) color.RGBA {
	return mapPalette().scale[int(float64(255*min(max((miss-minDrawn)/(maxDrawn-minDrawn), 0), 1))+0.5)].rgba()
}

// The legend is the scale as a bar, with ticks below it at the limits that the report
// counts by, and their numbers.
const (
	legendHeight = 34
	legendMargin = 10
	legendBar    = 12 // pixels high
)

var (
	legendTicks = []int{1, 3, 6, 12}
	legendInk   = Lab{85, 0, 0}
)

func drawLegend(img *image.RGBA, r image.Rectangle, from float64) {
	fill(img, r, ground(0))
	bar := image.Rect(r.Min.X+legendMargin, r.Min.Y+4, r.Max.X-legendMargin, r.Min.Y+4+legendBar)
	const title = "CIEDE2000"
	if wide := textWidth(title); r.Dx() >= 4*wide {
		label(img, bar.Min.X, bar.Max.Y-1, title)
		bar.Min.X += wide + legendMargin
	}
	if bar.Dx() < 2 {
		return // no room
	}
	for x := range bar.Dx() {
		at, miss := bar.Min.X+x, minDrawn+float64((maxDrawn-minDrawn)*float64(x)/float64(bar.Dx()-1))
		c := ground(50)
		if miss > from || x == bar.Dx()-1 {
			c = mapScale()[x*(len(mapScale())-1)/(bar.Dx()-1)]
		}
		fill(img, image.Rect(at, bar.Min.Y, at+1, bar.Max.Y), c)
	}
	drawTicks(img, bar, r)
}

// drawTicks writes each number unless it would overlap the one before.
func drawTicks(img *image.RGBA, bar, within image.Rectangle) {
	free := within.Min.X
	for _, tick := range legendTicks {
		x := bar.Min.X + (tick-minDrawn)*(bar.Dx()-1)/(maxDrawn-minDrawn)
		fill(img, image.Rect(x, bar.Max.Y, x+1, bar.Max.Y+3), legendInk)
		text := strconv.Itoa(tick)
		wide := textWidth(text)
		if left := x - wide/2; left >= free && left+wide <= within.Max.X {
			label(img, left, bar.Max.Y+14, text)
			free = left + wide + 3
		}
	}
}

func fill(img *image.RGBA, r image.Rectangle, c Lab) {
	draw.Draw(img, r, image.NewUniform(c.linear().rgba()), image.Point{}, draw.Src)
}

func textWidth(text string) int { return font.MeasureString(basicfont.Face7x13, text).Ceil() }

// label writes text with its baseline starting at (x, y).
func label(img *image.RGBA, x, y int, text string) {
	ink := image.NewUniform(legendInk.linear().rgba())
	d := font.Drawer{Dst: img, Src: ink, Face: basicfont.Face7x13, Dot: fixed.P(x, y)}
	d.DrawString(text)
}
