package caption

import (
	"image"

	"golang.org/x/image/math/fixed"
)

const ellipsis = '…'

// shorten leaves out as little of the middle as makes the line no wider than a
// width, and reports whether anything has room.
func (s *setter) shorten(runes []rune, width int) ([]rune, bool) {
	if len(runes) <= mostRunes && s.width(runes) <= width {
		return runes, true
	}
	// The most runes that may stay, by bisection.
	low, high := -1, min(len(runes)-1, mostRunes)
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

// without is runes with all but stay of them gone from the middle, of an odd number
// one more at the beginning. Spaces beside the ellipsis go too.
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

// ink is from where to where the letters go, the first dot at 0.
func (s *setter) ink(runes []rune) (from, to fixed.Int26_6) {
	from, to = far, -far
	var dot fixed.Int26_6
	for _, r := range runes {
		g := s.glyph(r)
		if len(g.outline) > 0 {
			from, to = min(from, dot+g.bounds.Min.X), max(to, dot+g.bounds.Max.X)
		}
		dot += g.advance
	}
	return from, max(from, to)
}

// width is the line's in pixels.
func (s *setter) width(runes []rune) int {
	from, to := s.ink(runes)
	return max(1, (to - from).Ceil())
}

// draw sets the line, the first ink exactly at its left edge. What a letter has
// above or below the line is cut off, which only stacked accents have.
func (s *setter) draw(runes []rune) *image.Alpha {
	line := image.NewAlpha(image.Rect(0, 0, s.width(runes), s.height))
	from, _ := s.ink(runes)
	dot := fixed.Point26_6{X: -from, Y: fixed.I(s.baseline)}
	for _, r := range runes {
		g := s.glyph(r)
		var o outline
		o.add(g.outline, dot)
		o.draw(line)
		dot.X += g.advance
	}
	return line
}
