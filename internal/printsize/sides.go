package printsize

import (
	"errors"
	"fmt"
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

// size reads "24x36in", "24 x 36 in", "24in x 36in".
func (r *reader) size() (Size, error) {
	w, ok := r.number()
	if !ok {
		return Size{}, errNotASize
	}
	wUnit := r.unit()
	if !r.cut("x") {
		return Size{}, errNotASize
	}
	h, ok := r.number()
	if !ok || r.cut("x") { // a third side is a box
		return Size{}, errNotASize
	}
	if w.tooFine || h.tooFine {
		return Size{}, errors.New("is finer than a printer: write at most four decimals")
	}
	unit, err := agree(w, h, wUnit, r.lastUnit())
	if err != nil {
		return Size{}, err
	}
	return sized(w, h, unit)
}

// agree settles the unit of both sides: the last one, and the first may repeat it.
func agree(w, h decimal, first, last *unit) (*unit, error) {
	switch {
	case first == nil && last == nil:
		return nil, fmt.Errorf("has no unit: say which: %s", offers(w, h))
	case last == nil:
		return nil, fmt.Errorf("has a unit on one side only: write %s", first.name(w, h))
	case first != nil && first != last:
		return nil, fmt.Errorf("mixes %s and %s: write both sides in one unit, such as %s",
			first.symbol, last.symbol, last.name(w, h))
	}
	return last, nil
}

// sized checks the limits and names the size.
func sized(w, h decimal, u *unit) (Size, error) {
	for _, side := range []decimal{w, h} {
		if mm := u.mm(side); mm < MinSideMM || mm > MaxSideMM {
			return Size{}, fmt.Errorf("has a side of %s %s: sides go from %d mm to %d m",
				side, u.symbol, MinSideMM, MaxSideMM/1000)
		}
	}
	return Size{Name: u.name(w, h), WidthMM: u.mm(w), HeightMM: u.mm(h)}, nil
}

// offers lists the ways to complete a size that lacks its unit, leaving out
// those nobody could print.
func offers(w, h decimal) string {
	var names []string
	for i := range units {
		if size, err := sized(w, h, &units[i]); err == nil && len(names) < 3 {
			names = append(names, size.Name)
		}
	}
	switch len(names) {
	case 0:
		return "in, cm, mm or m"
	case 1:
		return names[0]
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// cut takes a word, and the spaces before and after it.
func (r *reader) cut(word string) bool {
	rest, ok := strings.CutPrefix(strings.TrimLeft(r.rest, " "), word)
	if ok {
		r.rest = strings.TrimLeft(rest, " ")
	}
	return ok
}
