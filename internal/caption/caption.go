package caption

import (
	"fmt"
	"image"

	"sizewright/internal/plural"
)

// MinPX and MaxPX limit the height of a line: below 6 pixels letters are illegible,
// and 1,000 pixels are 70 mm at 360 ppi. MaxWidthPX limits the memory of a line.
const (
	MinPX      = 6
	MaxPX      = 1_000
	MaxWidthPX = 100_000
)

// Line draws text in one line that is exactly heightPX high and at most maxWidthPX
// wide. The image is as wide as the text: the ink of the first letter begins at the
// left edge and that of the last letter ends at the right edge. Alpha is the ink
// coverage; 255 is full.
//
// Each run of white space becomes one space. Control and formatting characters are left
// out, and bytes that are not UTF-8 become U+FFFD. If the text is too long, an ellipsis
// replaces its middle, since similar file names differ mostly at their ends.
//
// Line returns an error if a height or width is out of range, if the text has no ink,
// if not even the ellipsis fits, or if the font is broken.
func (f *Face) Line(text string, heightPX, maxWidthPX int) (*image.Alpha, error) {
	if maxWidthPX < 1 || maxWidthPX > MaxWidthPX {
		return nil, fmt.Errorf("a caption cannot be at most %s wide: give a width from 1 to %d", plural.Count(maxWidthPX, "pixel", "pixels"), MaxWidthPX)
	}
	s, err := f.setter(heightPX)
	if err != nil {
		return nil, err
	}
	runes := clean(text)
	if len(runes) == 0 {
		return nil, fmt.Errorf("the caption %.40q has nothing to print: give it some letters", text)
	}
	runes, ok := s.shorten(runes, maxWidthPX)
	if !ok {
		return nil, fmt.Errorf("a caption %s high does not fit in a width of %s: make it lower or wider",
			plural.Count(heightPX, "pixel", "pixels"), plural.Count(maxWidthPX, "pixel", "pixels"))
	}
	return s.draw(runes), nil
}
