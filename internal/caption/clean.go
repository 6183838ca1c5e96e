package caption

import (
	"unicode"

	"sizewright/internal/plaintext"
)

// maxRunes is more than any readable line has. A longer text is shortened to it before
// it is measured, because measuring is slow.
const maxRunes = 2_000

// clean returns the runes to draw: single spaces, none at the ends, and no control or
// formatting characters.
func clean(text string) []rune {
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
