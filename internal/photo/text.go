package photo

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"sizewright/internal/plaintext"
)

// cleanText makes a text from a file fit to print and to store: printable, valid
// UTF-8, without blanks at its ends, no longer than max bytes. EXIF says ASCII;
// cameras and editors also write UTF-8 and Latin-1, and bytes that are not the
// one are taken for the other. Of parts separated by NUL (photographer and
// editor in Copyright) the first that says anything is kept. What is left and cannot
// be read is shown by its code.
func cleanText(raw []byte, max int) string {
	for part := range bytes.SplitSeq(raw, []byte{0}) {
		if text := printable(part, max); text != "" {
			return text
		}
	}
	return ""
}

func printable(raw []byte, max int) string {
	if len(raw) > 4*max { // the rest could not be kept anyway
		raw = trimPartialRune(raw[:4*max])
	}
	text := string(raw)
	if !utf8.ValidString(text) {
		text = latin1(raw)
	}
	text = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, text)
	text = plaintext.Line(strings.TrimSpace(text))
	if len(text) > max {
		text = strings.TrimSpace(string(trimPartialRune([]byte(text[:max]))))
	}
	return text
}

// trimPartialRune drops a UTF-8 sequence that was cut at the end of b.
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

func latin1(raw []byte) string {
	runes := make([]rune, len(raw))
	for i, b := range raw {
		runes[i] = rune(b)
	}
	return string(runes)
}
