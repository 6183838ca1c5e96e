package photo

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"sizewright/internal/plaintext"
)

// cleanText makes a file's text safe to print and to store: printable, valid UTF-8,
// without blanks at its ends, at most max bytes. EXIF says ASCII, but cameras and editors
// also write UTF-8 and Latin-1. Bytes that are not UTF-8 are read as Latin-1. Of parts
// separated by NUL (photographer and editor in Copyright) the first that is not blank is
// kept. Characters that cannot be printed are shown by their codes.
func cleanText(raw []byte, max int) string {
	text, _ := cutText(raw, max)
	return text
}

// cutText does the same, and reports whether the text was longer.
func cutText(raw []byte, max int) (text string, cut bool) {
	for part := range bytes.SplitSeq(raw, []byte{0}) {
		if text, cut = printable(part, max); text != "" {
			break
		}
	}
	return text, cut
}

func printable(raw []byte, max int) (text string, cut bool) {
	if len(raw) > 4*max { // the rest cannot be kept
		raw = trimPartialRune(raw[:4*max])
	}
	text = string(raw)
	if !utf8.ValidString(text) {
		runes := make([]rune, len(raw)) // Latin-1
		for i, b := range raw {
			runes[i] = rune(b)
		}
		text = string(runes)
	}
	text = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, text)
	text = plaintext.Line(strings.TrimSpace(text))
	if cut = len(text) > max; cut {
		text = strings.TrimSpace(string(trimPartialRune([]byte(text[:max]))))
	}
	return text, cut
}

// trimPartialRune removes a UTF-8 sequence that was cut at the end of b.
func trimPartialRune(b []byte) []byte {
	for n := 1; n < utf8.UTFMax && n <= len(b); n++ {
		if tail := b[len(b)-n:]; utf8.RuneStart(tail[0]) {
			if !utf8.FullRune(tail) {
				return b[:len(b)-n]
			}
			break
		}
	}
	return b
}
