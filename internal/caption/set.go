package caption

import (
	"image"
	"iter"

	"golang.org/x/image/math/fixed"
)

const ellipsis = '…'

// shorten removes as little of the middle as needed to make the line fit the width, and
// reports whether anything fits.
func (s *setter) shorten(runes []rune, width int) ([]rune, bool) {
	if len(runes) <= maxRunes && s.width(runes) <= width {
		return runes, true
	}
	// Bisect for the largest number of runes that fits.
	low, high := -1, min(len(runes)-1, maxRunes)
	for low < high {
		stay := (low + high + 1) / 2
		if s.width(without(runes, stay)) <= width {
			low = stay
		} else {
			high = stay - 1
		}
	}
	if low < 0 {
		return nil, false
	}
	return without(runes, low), true
}

// without replaces the middle of runes with an ellipsis and keeps stay of them, one
// more at the start if stay is odd. It also removes spaces beside the ellipsis.
func without(runes []rune, stay int) []rune {
	head, tail := runes[:(stay+1)/2], runes[len(runes)-stay/2:]
	if n := len(head); n > 0 && head[n-1] == ' ' {
		head = head[:n-1]
	}
	if len(tail) > 0 && tail[0] == ' ' {
		tail = tail[1:]
	}
	short := append([]rune{}, head...)
	short = append(short, ellipsis)
	return append(short, tail...)
}

// line gives the glyphs of a line and the origin of each, from that of the first.
func (s *setter) line(runes []rune) iter.Seq2[glyph, fixed.Int26_6] {
	return func(yield func(glyph, fixed.Int26_6) bool) {
		var dot fixed.Int26_6
		var last glyph
		for i, r := range runes {
			g := s.glyph(r)
			if i > 0 {
				dot += s.kern(last, g)
			}
			if !yield(g, dot) {
				return
			}
			dot, last = dot+g.advance, g
		}
	}
}

// ink returns where the ink begins and ends, relative to the first origin.
func (s *setter) ink(runes []rune) (from, to fixed.Int26_6) {
	from, to = far, -far
	for g, dot := range s.line(runes) {
		if len(g.outline) > 0 {
			from, to = min(from, dot+g.bounds.Min.X), max(to, dot+g.bounds.Max.X)
		}
	}
	return from, max(from, to)
}

// width returns the width of the line in pixels.
func (s *setter) width(runes []rune) int {
	from, to := s.ink(runes)
	return max(1, (to - from).Ceil())
}

// draw draws the line with the first ink exactly at its left edge. It cuts off ink
// above or below the line, which only stacked accents have.
func (s *setter) draw(runes []rune) *image.Alpha {
	line := image.NewAlpha(image.Rect(0, 0, s.width(runes), s.height))
	from, _ := s.ink(runes)
	for g, dot := range s.line(runes) {
		var o outline
		o.add(g.outline, fixed.Point26_6{X: dot - from, Y: fixed.I(s.baseline)})
		o.draw(line)
	}
	return line
}
