package printsize

import (
	"fmt"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Parse is [ParseFolder] for those who need a folder's size and stock alone.
func Parse(name string) (size Size, stock string, err error) {
	f, err := ParseFolder(name)
	return f.Size, f.Stock, err
}

// ParseSize reads a size with nothing after it, as a person gives one on the command
// line.
func ParseSize(name string) (Size, error) {
	text := tidy(name)
	size, rest, err := cutSize(text)
	if err != nil {
		return Size{}, fmt.Errorf("size %s %s", quoted(name), wordsFor(err, text, Folder{}))
	}
	if rest != "" {
		return Size{}, fmt.Errorf("size %s has more after it: give %s alone", quoted(name), size.Name)
	}
	return size, nil
}

// cutSize reads a size off the front of a tidied name and returns what is left.
// Its errors go on where "drop folder X" leaves off.
func cutSize(text string) (size Size, rest string, err error) {
	if size, rest, ok := cutNamed(text); ok {
		return size, rest, nil
	}
	r := reader{rest: text}
	size, err = r.size()
	return size, r.rest, err
}

// signs replaces the signs that people type, or their machines type for them,
// for an x, an inch mark, a foot mark and a space.
var signs = strings.NewReplacer(
	"×", "x", "✕", "x", "✖", "x", "⨯", "x", "⨉", "x", "∗", "*",
	"″", `"`, "”", `"`, "“", `"`, "„", `"`, "˝", `"`, "''", `"`, "’’", `"`, "′′", `"`,
	"′", "'", "’", "'", "‘", "'", "＠", "@", "_", " ")

// tidy makes equal names equal text. Names copied from some file systems come
// with their accents taken apart, hence NFC; a no-break space is a space.
func tidy(name string) string {
	text := strings.Map(halfWidth, strings.ToLower(norm.NFC.String(name)))
	text = signs.Replace(norm.NFC.String(text)) // lower case can come apart again
	return strings.Join(strings.Fields(text), " ")
}

// halfWidth turns the wide letters, digits and signs of East Asian typing into ASCII's.
func halfWidth(c rune) rune {
	if c >= '！' && c <= '～' {
		return c - '！' + '!'
	}
	return c
}

// quoted shows a name in an error, cut when somebody made it long to annoy.
func quoted(name string) string {
	const enough = 80
	if runes := []rune(name); len(runes) > enough {
		name = string(runes[:enough]) + "…"
	}
	return fmt.Sprintf("%q", name)
}
