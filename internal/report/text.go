package report

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"sizewright/internal/exact"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
)

// How the page sets numbers and sentences. What it says stands where it is said.

// The units that a page can give sizes in.
const (
	Millimetres = "mm"
	Inches      = "in"
	BothUnits   = "both"
)

// sides writes a print's sides, which are given in mm, in the units asked for.
func sides(units string, w, h float64) string {
	const in = printsize.MMPerInch
	switch units {
	case Millimetres:
		return typeset(fmt.Sprintf("%s x %s mm", tenths(w), tenths(h)))
	case Inches:
		return typeset(fmt.Sprintf("%s x %s in", tenths(w/in), tenths(h/in)))
	}
	return typeset(fmt.Sprintf("%s x %s mm (%s x %s in)", tenths(w), tenths(h), tenths(w/in), tenths(h/in)))
}

func pixels(w, h int) string { return typeset(fmt.Sprintf("%d x %d px", w, h)) }

// times writes a factor to two figures, or to the hundredth where two would say 1.0.
func times(factor float64) string {
	figures := 2
	if factor < 1.05 || factor >= 99.5 {
		figures = 3
	}
	scale := math.Pow10(figures - 1 - int(math.Floor(exact.Log10(factor))))
	return typeset(strconv.FormatFloat(math.Round(factor*scale)/scale, 'f', -1, 64) + " times")
}

var (
	byBetweenNumbers = regexp.MustCompile(`(\d) x (\d)`)
	numberAndUnit    = regexp.MustCompile(`(\d) (%|(?:px|ppi|mm|cm|m|in|times)\b)`)
)

// typeset gives 3 x 2 its sign and keeps a number and its unit in one line.
func typeset(text string) string {
	text = byBetweenNumbers.ReplaceAllString(text, "$1\u00a0×\u00a0$2")
	return numberAndUnit.ReplaceAllString(text, "$1\u00a0$2")
}

// spaced is a sentence of the page for programs: they break lines where they like.
func spaced(text string) string { return strings.ReplaceAll(text, "\u00a0", " ") }

// sentence sets a program's sentence as a page does: with a capital, a full stop and
// typeset numbers. The file's name in it stays as it is.
func sentence(text, name string) string {
	if text == "" {
		return ""
	}
	if name == "" {
		name = "\x00" // in no text
	}
	if !strings.HasPrefix(text, name) {
		text = upperFirst(text)
	}
	if !strings.ContainsAny(text[len(text)-1:], ".!?") {
		text += "."
	}
	around := strings.Split(text, name)
	for i, part := range around {
		around[i] = typeset(part)
	}
	return strings.Join(around, name)
}

var numbers = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// number writes small numbers out.
func number(n int) string {
	if n < len(numbers) {
		return numbers[n]
	}
	return strconv.Itoa(n)
}

// count is [plural.Count] with small numbers written out.
func count(n int, one, many string) string { return number(n) + " " + plural.Noun(n, one, many) }

func upperFirst(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if first == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

func tenths(v float64) string     { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }
func hundredths(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
