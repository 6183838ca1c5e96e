package printsize

import "strings"

// A unit is one that a size may be written in. Its length is a whole number of tenths
// of a millimetre, so that a side is one correctly rounded division.
type unit struct {
	symbol   string
	spelt    []string // longest first, so that "inch" is not "in" and a rest
	tenthMM  int64
	imperial bool
}

var units = []unit{
	{"in", []string{"inches", "inch", "in.", "in", `"`}, 254, true},
	{"cm", []string{"centimetres", "centimeters", "cm"}, 100, false},
	{"mm", []string{"millimetres", "millimeters", "mm"}, 10, false},
	{"m", []string{"metres", "meters", "metre", "meter", "m"}, 10_000, false},
	{"ft", []string{"feet", "foot", "ft.", "ft", "'"}, 3048, true},
}

var inch, millimetre, foot = &units[0], &units[2], &units[4]

// mm returns a number of this unit in millimetres.
func (u *unit) mm(d decimal) float64 {
	return float64(d.tenThousandths) * float64(u.tenthMM) / (10 * decimalOne)
}

// in returns a number of this unit in another, to the nearest ten-thousandth.
func (u *unit) in(other *unit, d decimal) decimal {
	d.tenThousandths = (min(d.tenThousandths, decimalMost/u.tenthMM)*u.tenthMM + other.tenthMM/2) / other.tenthMM
	return d
}

// name returns the canonical name of a size written in this unit.
func (u *unit) name(w, h decimal) string { return w.String() + "x" + h.String() + u.symbol }

// unit takes a unit, nil if there is none.
func (r *reader) unit() *unit {
	for i := range units {
		for _, word := range units[i].spelt {
			if r.cut(word) {
				return &units[i]
			}
		}
	}
	return nil
}

// lastUnit takes the unit at the end of a size. There it must be a word of its
// own, or "24x36 indigo" would be in inches on digo; inches may follow feet at once.
func (r *reader) lastUnit() *unit {
	text := strings.TrimLeft(r.rest, " ")
	for i := range units {
		for _, word := range units[i].spelt {
			if rest, ok := strings.CutPrefix(text, word); ok && (endsWord(word, rest) || &units[i] == foot && rest != "" && isDigit(rest[0])) {
				r.rest = rest
				return &units[i]
			}
		}
	}
	return nil
}
