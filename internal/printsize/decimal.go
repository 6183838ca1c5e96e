package printsize

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// A decimal is a number as it was written, in ten-thousandths, so that 24.5 in
// becomes the float64 nearest to 622.3 mm and 610x914mm equals 61x91.4cm. It
// saturates far above every limit. tooFine tells of more than four decimals.
type decimal struct {
	tenThousandths int64
	tooFine        bool
}

const (
	decimalPlaces = 4
	decimalOne    = 10_000
	decimalMost   = 1_000_000_000 * decimalOne
)

// String writes the shortest decimal: "24", "24.5".
func (d decimal) String() string {
	return strconv.FormatFloat(float64(d.tenThousandths)/decimalOne, 'f', -1, 64)
}

// number takes digits, and a fraction after a point or a comma when digits
// follow it. Signs, exponents, "nan" and "inf" are no numbers here.
func (r *reader) number() (decimal, bool) {
	whole := digits(r.rest)
	if whole == "" {
		return decimal{}, false
	}
	r.rest = r.rest[len(whole):]
	if fraction, ok := r.vulgar(); ok {
		return newDecimal(whole, fraction), true
	}
	var fraction string
	if r.rest != "" && (r.rest[0] == '.' || r.rest[0] == ',') {
		fraction = digits(r.rest[1:])
		if fraction == "" {
			return decimal{}, false
		}
		r.rest = r.rest[1+len(fraction):]
	}
	return newDecimal(whole, fraction), true
}

// vulgarFractions are those of a ruler in inches.
var vulgarFractions = map[string]string{
	"½": "5", "¼": "25", "¾": "75", "⅛": "125", "⅜": "375", "⅝": "625", "⅞": "875",
}

// vulgar takes a fraction that is one sign, as in 8½.
func (r *reader) vulgar() (decimals string, ok bool) {
	sign, n := utf8.DecodeRuneInString(strings.TrimLeft(r.rest, " "))
	if decimals, ok = vulgarFractions[string(sign)]; ok {
		r.rest = strings.TrimLeft(r.rest, " ")[n:]
	}
	return decimals, ok
}

func newDecimal(whole, fraction string) decimal {
	var d decimal
	d.tooFine = len(fraction) > decimalPlaces
	for len(fraction) < decimalPlaces {
		fraction += "0"
	}
	for _, c := range whole + fraction[:decimalPlaces] {
		d.tenThousandths = min(d.tenThousandths*10+int64(c-'0'), decimalMost)
	}
	return d
}

// digits returns the ASCII digits that s begins with.
func digits(s string) string {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return s[:n]
}
