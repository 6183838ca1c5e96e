package printsize

import "strings"

// named lists the sizes that have a name instead of two numbers, portrait, in
// millimetres. The A and B series are written out from ISO 216:2007 rather
// than computed, for its values are what paper is cut to. 2A0 and 4A0 are from
// DIN 476, which ISO 216 grew out of. A3+ is common practice, no source: the
// trade's sheet for an A3 print with room to trim.
var named = []Size{
	{"A0", 841, 1189},
	{"A1", 594, 841},
	{"A2", 420, 594},
	{"A3", 297, 420},
	{"A4", 210, 297},
	{"A5", 148, 210},
	{"A6", 105, 148},
	{"A7", 74, 105},
	{"A8", 52, 74},
	{"A9", 37, 52},
	{"A10", 26, 37},

	{"B0", 1000, 1414},
	{"B1", 707, 1000},
	{"B2", 500, 707},
	{"B3", 353, 500},
	{"B4", 250, 353},
	{"B5", 176, 250},
	{"B6", 125, 176},
	{"B7", 88, 125},
	{"B8", 62, 88},
	{"B9", 44, 62},
	{"B10", 31, 44},

	{"2A0", 1189, 1682},
	{"4A0", 1682, 2378},

	{"A3+", 329, 483},
}

// cutNamed reads a named size off the front of a tidied name and returns what
// is left. The name must end there: "a12" is not A1.
func cutNamed(text string) (size Size, rest string, ok bool) {
	text = closeUp(text)
	for _, size := range named {
		rest, found := strings.CutPrefix(text, strings.ToLower(size.Name))
		if found && endsWord(size.Name, rest) {
			return size, rest, true
		}
	}
	return Size{}, text, false
}

// closeUp removes the space of "a 4".
func closeUp(text string) string {
	if len(text) >= 3 && strings.IndexByte("ab", text[0]) >= 0 && text[1] == ' ' && isDigit(text[2]) {
		return text[:1] + text[2:]
	}
	return text
}

// endsWord reports whether a word just read is a word of its own: nothing or a
// separator follows, or it ends in a sign (A3+, 24x36") and a letter follows.
func endsWord(word, rest string) bool {
	if rest == "" || rest[0] == ' ' || rest[0] == '-' {
		return true
	}
	last := word[len(word)-1]
	return !isLetter(last) && !isDigit(last) && isLetter(rest[0])
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// isLetter reports whether c begins or ends a letter: ASCII, or any byte of a
// rune beyond it.
func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' || c >= 0x80 }
