package caption

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"sizewright/internal/plural"
)

var regular = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(goregular.TTF) })

// A setter draws lines of one height. It is not safe for concurrent use.
type setter struct {
	font     *sfnt.Font
	buffer   sfnt.Buffer
	em       fixed.Int26_6 // pixels
	height   int
	baseline int
	glyphs   map[rune]glyph
}

// A glyph is a character's outline relative to its origin, in pixels, and the distance
// to the next origin. The font's kerning table is empty.
type glyph struct {
	outline sfnt.Segments
	bounds  fixed.Rectangle26_6
	advance fixed.Int26_6
}

func newSetter(heightPX int) (*setter, error) {
	if heightPX < MinPX || heightPX > MaxPX {
		return nil, fmt.Errorf("a caption cannot be %s high: give a height from %d to %d", plural.Count(heightPX, "pixel", "pixels"), MinPX, MaxPX)
	}
	f, err := regular()
	if err != nil {
		return nil, fmt.Errorf("the font of captions: %w", err)
	}
	s := &setter{font: f, height: heightPX, glyphs: map[rune]glyph{}}
	const unit = 1000
	m, err := f.Metrics(&s.buffer, fixed.I(unit), font.HintingNone)
	if err != nil {
		return nil, fmt.Errorf("the font of captions: %w", err)
	}
	all := m.Ascent + m.Descent
	s.em = fixed.Int26_6(int64(fixed.I(heightPX)) * int64(fixed.I(unit)) / int64(all))
	s.baseline = (heightPX*int(m.Ascent) + int(all)/2) / int(all)
	return s, nil
}

// glyph returns a character's glyph, or the font's box for a missing character. It is
// not hinted, so that letters have the same shape at every height.
func (s *setter) glyph(r rune) glyph {
	if g, ok := s.glyphs[r]; ok {
		return g
	}
	var g glyph
	index, err := s.font.GlyphIndex(&s.buffer, r)
	if err != nil {
		index = 0
	}
	// The font is embedded, and has an outline and a width for every index.
	g.advance, _ = s.font.GlyphAdvance(&s.buffer, index, s.em, font.HintingNone)
	outline, _ := s.font.LoadGlyph(&s.buffer, index, s.em, nil)
	g.outline = slices.Clone(outline)
	if len(g.outline) > 0 {
		g.bounds = g.outline.Bounds()
	}
	s.glyphs[r] = g
	return g
}

// far is larger than any coordinate.
const far = fixed.Int26_6(math.MaxInt32)

// Missing returns the characters of a text that the face has no letters for, each once.
// They are drawn as its box.
func Missing(text string) string {
	f, err := regular()
	if err != nil {
		return "" // which the first line says
	}
	var b sfnt.Buffer
	missing := ""
	for _, r := range clean(text) {
		if index, err := f.GlyphIndex(&b, r); (err != nil || index == 0) && !strings.ContainsRune(missing, r) {
			missing += string(r)
		}
	}
	return missing
}
