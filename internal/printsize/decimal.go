package printsize

import "strconv"

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
