package caption

import (
	"unicode"

	"sizewright/internal/plaintext"
)

// mostRunes is past any line that can be read; the middle of a longer text is left
// out before it is measured, for measuring takes time.
const mostRunes = 2_000

// tidy is the text as runes to set: spaces single and none at the ends, nothing
// that moves, hides or turns its neighbours.
func tidy(text string) []rune {
	var kept []rune
	space := false
	for _, r := range text {
		switch {
		case unicode.IsSpace(r):
			space = len(kept) > 0
		case !plaintext.Safe(r):
		default:
			if space {
				kept = append(kept, ' ')
			}
			kept, space = append(kept, r), false
		}
	}
	return kept
}
