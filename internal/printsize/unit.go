package printsize

import "strings"

// A unit is one that a size may be written in. Its length in millimetres is
// per ten-thousandth, as a fraction of whole numbers: a side is then one
// correctly rounded division.
type unit struct {
	symbol   string
	spelt    []string // longest first, so that "inch" is not "in" and a rest
	num, den float64
}

var units = []unit{
	{"in", []string{"inches", "inch", "in", `"`}, 254, 10 * decimalOne},
	{"cm", []string{"cm"}, 10, decimalOne},
	{"mm", []string{"mm"}, 1, decimalOne},
	{"m", []string{"m"}, 1000, decimalOne},
}

// mm returns a number of this unit in millimetres.
func (u *unit) mm(d decimal) float64 { return float64(d.tenThousandths) * u.num / u.den }

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
// own, or "24x36 indigo" would be in inches on digo.
func (r *reader) lastUnit() *unit {
	text := strings.TrimLeft(r.rest, " ")
	for i := range units {
		for _, word := range units[i].spelt {
			if rest, ok := strings.CutPrefix(text, word); ok && endsWord(word, rest) {
				r.rest = rest
				return &units[i]
			}
		}
	}
	return nil
}
