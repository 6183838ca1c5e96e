package caption

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"sizewright/internal/plural"
)

// A setter draws lines of one height. It is not safe for concurrent use.
type setter struct {
	font     *sfnt.Font
	meter    *meter
	buffer   sfnt.Buffer
	em       fixed.Int26_6 // pixels
	height   int
	baseline int
	glyphs   map[rune]glyph
}

// A glyph is a character's outline relative to its origin, in pixels, and the distance
// to the next origin without kerning.
type glyph struct {
	index   sfnt.GlyphIndex
	outline sfnt.Segments
	bounds  fixed.Rectangle26_6
	advance fixed.Int26_6
}

// tallest is the greatest height of a line in ems that a font may ask for: what is usual is
// 1 to 1.5, and 3 in some scripts (common practice, no source).
const tallest = 4

func (f *Face) setter(heightPX int) (*setter, error) {
	if heightPX < MinPX || heightPX > MaxPX {
		return nil, fmt.Errorf("a caption cannot be %s high: give a height from %d to %d", plural.Count(heightPX, "pixel", "pixels"), MinPX, MaxPX)
	}
	s := &setter{height: heightPX, glyphs: map[rune]glyph{}, meter: &meter{data: bytes.NewReader(f.Bytes())}}
	const unit = 1000
	var m font.Metrics
	err := s.safely(parsing, func() (err error) {
		if s.font, err = sfnt.ParseReaderAt(s.meter); err == nil {
			m, err = s.font.Metrics(&s.buffer, fixed.I(unit), font.HintingNone)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	all := m.Ascent + m.Descent
	if m.Ascent <= 0 || m.Descent < 0 || m.Ascent > fixed.I(tallest*unit) || m.Descent > fixed.I(tallest*unit) {
		return nil, errors.New("it gives no usable height of a line")
	}
	s.em = fixed.Int26_6(int64(fixed.I(heightPX)) * int64(fixed.I(unit)) / int64(all))
	s.baseline = (heightPX*int(m.Ascent) + int(all)/2) / int(all)
	return s, nil
}

// glyph returns a character's glyph, or the font's box for a missing character. It is
// not hinted, so that letters have the same shape at every height.
func (s *setter) glyph(r rune) glyph {
	g, ok := s.glyphs[r]
	if !ok {
		if g, ok = s.load(s.index(r)); !ok {
			g, _ = s.load(0)
		}
		s.glyphs[r] = g
	}
	return g
}

// joined are the scripts whose letters are joined, stacked or put in another order. Nothing
// here does that, so they are boxes in every face.
var joined = []*unicode.RangeTable{
	unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Mongolian,
	unicode.Devanagari, unicode.Bengali, unicode.Gurmukhi, unicode.Gujarati, unicode.Oriya, unicode.Tamil, unicode.Telugu,
	unicode.Kannada, unicode.Malayalam, unicode.Sinhala, unicode.Myanmar, unicode.Khmer, unicode.Tibetan, unicode.Thai, unicode.Lao,
}

// index is that of a character in the font, 0 if it has none.
func (s *setter) index(r rune) (index sfnt.GlyphIndex) {
	if unicode.In(r, joined...) {
		return 0
	}
	if s.safely(drawing, func() (err error) { index, err = s.font.GlyphIndex(&s.buffer, r); return err }) != nil {
		return 0
	}
	return index
}

// Most segments of an outline, and how far from its origin it may go, in heights of the
// line: more than any letter needs.
const (
	mostSegments = 10_000
	mostHeights  = 8
)

// load loads a glyph. A damaged one is not ok.
func (s *setter) load(index sfnt.GlyphIndex) (g glyph, ok bool) {
	err := s.safely(drawing, func() (err error) {
		var outline sfnt.Segments
		if g.advance, err = s.font.GlyphAdvance(&s.buffer, index, s.em, font.HintingNone); err == nil {
			outline, err = s.font.LoadGlyph(&s.buffer, index, s.em, nil)
		}
		g.index, g.outline = index, slices.Clone(outline)
		return err
	})
	if len(g.outline) > 0 {
		g.bounds = g.outline.Bounds()
	}
	b, most := g.bounds, fixed.I(mostHeights*s.height)
	if err != nil || len(g.outline) > mostSegments || g.advance < 0 || min(b.Min.X, b.Min.Y) < -most || max(b.Max.X, b.Max.Y, g.advance) > most {
		return glyph{}, false
	}
	return g, true
}

// kern is how much nearer or farther the second of two glyphs stands, as the font says.
func (s *setter) kern(a, b glyph) (kern fixed.Int26_6) {
	err := s.safely(drawing, func() (err error) {
		kern, err = s.font.Kern(&s.buffer, a.index, b.index, s.em, font.HintingNone)
		return err
	})
	if err != nil || kern < -s.em || kern > s.em {
		return 0
	}
	return kern
}

// far is larger than any coordinate.
const far = fixed.Int26_6(math.MaxInt32)

// Missing returns the characters of a text that the face cannot draw, each once. They are
// drawn as its box.
func (f *Face) Missing(text string) string {
	s, err := f.setter(MaxPX)
	if err != nil {
		return "" // which Line says
	}
	missing := ""
	for _, r := range clean(text) {
		if strings.ContainsRune(missing, r) {
			continue
		}
		index := s.index(r)
		if _, ok := s.load(index); index == 0 || !ok {
			missing += string(r)
		}
	}
	return missing
}
