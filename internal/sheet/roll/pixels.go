package roll

import (
	"image"
	"math"
)

const mmPerInch = 25.4

// Pixels are the run and its pieces as they lie, in the order of Pieces, at a
// resolution: x across from the left edge, y from the leading edge. A piece's size
// is its own millimetres rounded, wherever it lies, so that equal prints have equal
// pixels; its place is off by half a pixel at the most. Where the gap is a pixel or
// more no two overlap.
func (r Run) Pixels(ppi float64) (run image.Rectangle, pieces []image.Rectangle) {
	px := func(mm float64) int { return int(math.Round(mm / mmPerInch * ppi)) }
	for _, p := range r.Pieces {
		x, y := px(p.X), px(p.Y)
		pieces = append(pieces, image.Rect(x, y, x+px(p.Width), y+px(p.Height)))
	}
	return image.Rect(0, 0, px(r.WidthMM), px(r.LengthMM)), pieces
}
