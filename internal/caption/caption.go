package caption

import (
	"fmt"
	"image"

	"sizewright/internal/plural"
)

// LeastPX and MostPX are the heights a line can have: under 6 pixels no letter can
// be read, and 1,000 are 70 mm at 360 ppi. MostWidthPX bounds what a line takes in
// memory.
const (
	LeastPX     = 6
	MostPX      = 1_000
	MostWidthPX = 100_000
)

// Line sets text in one line exactly heightPX high and at most maxWidthPX wide, and
// as wide as the text: its first letter's ink begins at the left edge and its last
// one's ends at the right. Alpha is the ink, 255 all of it.
//
// White space of every kind is one space, control and formatting characters are left
// out, and bytes that are not UTF-8 are U+FFFD. Text that is too long loses its
// middle to an ellipsis, since a file's name differs at its ends.
//
// The errors: a height or a width out of range, text without ink, and a width in which
// not even the ellipsis has room.
func Line(text string, heightPX, maxWidthPX int) (*image.Alpha, error) {
	if maxWidthPX < 1 || maxWidthPX > MostWidthPX {
		return nil, fmt.Errorf("a caption at most %s wide: give it from 1 to %d", plural.Count(maxWidthPX, "pixel", "pixels"), MostWidthPX)
	}
	s, err := newSetter(heightPX)
	if err != nil {
		return nil, err
	}
	runes := tidy(text)
	if len(runes) == 0 {
		return nil, fmt.Errorf("the caption %.40q has nothing to print: give it some letters", text)
	}
	runes, ok := s.shorten(runes, maxWidthPX)
	if !ok {
		return nil, fmt.Errorf("a caption %d pixels high has no room in %d: make it lower or give it more width", heightPX, maxWidthPX)
	}
	return s.draw(runes), nil
}

// Heights are where a line's letters lie, in pixels from its top: the baseline, and
// the top of a capital H.
func Heights(heightPX int) (baseline, capTop int, err error) {
	s, err := newSetter(heightPX)
	if err != nil {
		return 0, 0, err
	}
	return s.baseline, s.baseline + s.glyph('H').bounds.Min.Y.Floor(), nil
}
