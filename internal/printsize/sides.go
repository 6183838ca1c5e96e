package printsize

import (
	"fmt"
	"regexp"
	"strings"
)

// The shortest and longest side of a print: a contact print's frame and more
// than the longest roll anybody prints on in one piece.
const (
	MinSideMM = 10
	MaxSideMM = 20_000
)

// A reader takes a size in numbers apart from the left.
type reader struct{ rest string }

// A side is a number and its unit, nil where none is written.
type side struct {
	decimal
	unit *unit
}

// size reads "24x36in", "24 x 36 in", "24in by 36in", "70cm" and "square 30cm".
func (r *reader) size() (Size, error) {
	square := r.word("square") || r.word("sq")
	if !square {
		r.longSide()
	}
	start := r.rest
	w, ok := r.side(r.unit)
	switch {
	case !ok:
		return Size{}, errNotASize
	case square:
		r.rest = start
		return r.square()
	case w.unit != nil && fewCopies.MatchString(r.rest) || !r.times():
		r.rest = start
		return r.oneSide()
	}
	h, ok := r.side(r.lastUnit)
	if !ok || r.thirdSide(h) {
		return Size{}, errNotASize
	}
	return bothSides(w, h)
}

// thirdSide reports whether a third side follows, which is a box. A number of copies is
// none.
func (r *reader) thirdSide(h side) bool {
	copies := h.unit != nil && copiesAfter.MatchString(r.rest)
	return !copies && r.times()
}

// side reads a number, and its unit by the way given. "2ft 6in" is one number.
func (r *reader) side(unit func() *unit) (side, bool) {
	n, ok := r.number()
	if !ok {
		return side{}, false
	}
	s := side{n, unit()}
	if s.unit == foot {
		s = r.feetAndInches(s, unit)
	}
	return s, true
}

// feetAndInches adds the inches that follow feet, if any do.
func (r *reader) feetAndInches(feet side, unit func() *unit) side {
	start := r.rest
	r.rest = strings.TrimLeft(r.rest, " ")
	n, ok := r.number()
	if !ok || unit() != inch {
		r.rest = start
		if start != "" && isDigit(start[0]) {
			feet.unit = nil
		}
		return feet
	}
	whole := feet.unit.in(inch, feet.decimal)
	whole.tenThousandths += n.tenThousandths
	whole.tooFine = whole.tooFine || n.tooFine
	return side{whole, inch}
}

// bothSides settles the unit of both sides: that of the last, and the first may have
// its own. Two units come to one: inches if both are imperial, else millimetres.
func bothSides(w, h side) (Size, error) {
	switch {
	case w.tooFine || h.tooFine:
		return Size{}, tooFine
	case w.unit == nil && h.unit == nil:
		return Size{}, noUnit(likely(w.decimal, h.decimal))
	case h.unit == nil:
		return Size{}, oneOffer("has a unit on one side only", "write", w.decimal, h.decimal, w.unit)
	case w.unit == nil:
		w.unit = h.unit
	case w.unit != h.unit:
		to := millimetre
		if w.unit.imperial && h.unit.imperial {
			to = inch
		}
		w.decimal, h.decimal, h.unit = w.unit.in(to, w.decimal), h.unit.in(to, h.decimal), to
	}
	return sized(w.decimal, h.decimal, h.unit)
}

// square reads the one side of a square.
func (r *reader) square() (Size, error) {
	s, ok := r.side(r.lastUnit)
	switch {
	case !ok || r.times():
		return Size{}, errNotASize
	case s.tooFine:
		return Size{}, tooFine
	case s.unit == nil:
		return Size{}, noUnit(likely(s.decimal, s.decimal))
	}
	return sized(s.decimal, s.decimal, s.unit)
}

// otherSide begins what follows one side that is not the long one.
var otherSide = regexp.MustCompile(`^ *-?(wide|width|high|height|tall|short|deep|across)\b`)

// oneSide reads the long side of a print, "70cm", or a square after its side. A unit
// that is written apart may be a word of something else, as in "12 in progress".
func (r *reader) oneSide() (Size, error) {
	s, _ := r.number()
	spaced := strings.HasPrefix(r.rest, " ")
	start := r.rest
	long := side{s, r.lastUnit()}
	if long.unit == foot {
		long = r.feetAndInches(long, r.lastUnit)
	}
	switch {
	case long.tooFine:
		return Size{}, tooFine
	case long.unit == nil && start == "":
		return Size{}, fault{text: "is one number", lead: "for a print of that long side write",
			offers: likelyLong(s), tail: "else both sides with their unit, such as 24x36in"}
	case long.unit == nil:
		return Size{}, errNotASize
	case r.word("square") || r.word("sq"):
		return sized(long.decimal, long.decimal, long.unit)
	}
	size, err := longSide(long.decimal, long.unit)
	switch {
	case err != nil:
		return Size{}, err
	case otherSide.MatchString(r.rest):
		r.rest = otherSide.ReplaceAllString(r.rest, "")
		return Size{}, fault{text: "gives one side that is not the long one", lead: "for the long side write", offers: []Folder{{Size: size}},
			tail: "else both sides, such as 50x70cm"}
	case r.longSide():
	case spaced && strings.Trim(r.rest, " ") != "" && !isMark(long.unit, start) && !startsStock(r.rest):
		return Size{}, fault{text: "is not clearly a size", lead: "for a print of that long side write", offers: []Folder{{Size: size}}}
	}
	return size, nil
}

// isMark reports whether a unit was written by its sign.
func isMark(u *unit, text string) bool {
	mark := u.spelt[len(u.spelt)-1]
	return !isLetter(mark[0]) && strings.HasPrefix(strings.TrimLeft(text, " "), mark)
}

// startsStock reports whether a separator follows that no sentence has.
func startsStock(rest string) bool { return strings.HasPrefix(strings.TrimLeft(rest, " "), "-") }

// longSide takes the words that say what one side is anyway.
func (r *reader) longSide() bool {
	return r.word("long side") || r.word("long edge") || r.word("longest side") || r.word("long")
}

// sized checks the limits and names the size.
func sized(w, h decimal, u *unit) (Size, error) {
	for _, side := range []decimal{w, h} {
		if mm := u.mm(side); mm < MinSideMM || mm > MaxSideMM {
			return Size{}, fault{text: fmt.Sprintf("has a side of %s %s: sides go from %d mm to %d m",
				side, u.symbol, MinSideMM, MaxSideMM/1000)}
		}
	}
	return Size{Name: u.name(w, h), WidthMM: u.mm(w), HeightMM: u.mm(h)}, nil
}

// longSide is the size of which only the long side is said.
func longSide(d decimal, u *unit) (Size, error) {
	size, err := sized(d, d, u)
	size.Name, size.LongSideOnly = d.String()+u.symbol, err == nil
	return size, err
}

// cut takes a word, and the spaces before and after it.
func (r *reader) cut(word string) bool {
	rest, ok := strings.CutPrefix(strings.TrimLeft(r.rest, " "), word)
	if ok {
		r.rest = strings.TrimLeft(rest, " ")
	}
	return ok
}

// word takes a word that stands alone, and the spaces before and after it.
func (r *reader) word(word string) bool {
	rest, ok := strings.CutPrefix(strings.TrimLeft(r.rest, " "), word)
	if !ok || rest != "" && strings.IndexByte(" -,@", rest[0]) < 0 {
		return false
	}
	r.rest = strings.TrimLeft(rest, " ")
	return true
}

// between is what stands between two sides, Cyrillic's x among it.
var between = regexp.MustCompile(`^ *(?:x|х|\*|by) *([0-9])`)

// times takes it, and the spaces before and after it.
func (r *reader) times() bool {
	m := between.FindStringSubmatchIndex(r.rest)
	if m != nil {
		r.rest = r.rest[m[2]:]
	}
	return m != nil
}
