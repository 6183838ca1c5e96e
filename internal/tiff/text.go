package tiff

import (
	"strings"
	"unicode"
)

// cleanText is s as a tag can hold it: a NUL would end the text for every
// reader, and other control characters have no business in a caption. Words
// parted by a line end or a tab stay parted.
func cleanText(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case unicode.IsControl(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.TrimSpace(s)
}
