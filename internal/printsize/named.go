package printsize

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
)

// A namedSize has a name instead of two numbers. also are other spellings of it,
// tidied.
type namedSize struct {
	Size
	also []string
}

// named lists them, portrait, in millimetres.
//
// The A and B series are written out from ISO 216:2007 rather than computed, for
// its values are what paper is cut to. 2A0 and 4A0 are from DIN 476, which ISO 216
// grew out of. JIS B is from JIS P 0138 and larger than ISO's B (from memory); its A
// is ISO's. Letter to ANSI E are from ANSI/ASME Y14.1, where Letter is A and Tabloid
// B; Legal is common practice, no source, as are A3+, the trade's sheet for an A3
// print with room to trim, Super B of 13 x 19 in, and the laboratories' R sizes. Arch A
// to E1 are from ASME Y14.1 too (from memory).
var named = []namedSize{
	iso("A0", 841, 1189), iso("A1", 594, 841), iso("A2", 420, 594), iso("A3", 297, 420),
	iso("A4", 210, 297), iso("A5", 148, 210), iso("A6", 105, 148), iso("A7", 74, 105),
	iso("A8", 52, 74), iso("A9", 37, 52), iso("A10", 26, 37),

	iso("B0", 1000, 1414), iso("B1", 707, 1000), iso("B2", 500, 707), iso("B3", 353, 500),
	iso("B4", 250, 353), iso("B5", 176, 250), iso("B6", 125, 176), iso("B7", 88, 125),
	iso("B8", 62, 88), iso("B9", 44, 62), iso("B10", 31, 44),

	iso("2A0", 1189, 1682), iso("4A0", 1682, 2378),

	jis("B0", 1030, 1456), jis("B1", 728, 1030), jis("B2", 515, 728), jis("B3", 364, 515),
	jis("B4", 257, 364), jis("B5", 182, 257), jis("B6", 128, 182),

	{mm("A3+", 329, 483), []string{"a3 +", "a3plus", "a3 plus", "super a3"}},

	{inches("Letter", 8.5, 11), []string{"us letter", "ansi a"}},
	{inches("Legal", 8.5, 14), []string{"us legal"}},
	{inches("Tabloid", 11, 17), []string{"ledger", "ansi b"}},
	{inches("ANSI C", 17, 22), nil},
	{inches("ANSI D", 22, 34), nil},
	{inches("ANSI E", 34, 44), nil},
	{inches("Super B", 13, 19), []string{"superb"}},

	{inches("9x12in", 9, 12), []string{"arch a"}}, {inches("12x18in", 12, 18), []string{"arch b"}},
	{inches("18x24in", 18, 24), []string{"arch c"}}, {inches("24x36in", 24, 36), []string{"arch d"}},
	{inches("36x48in", 36, 48), []string{"arch e"}}, {inches("30x42in", 30, 42), []string{"arch e1"}},

	{inches("3.5x5in", 3.5, 5), []string{"3r"}}, {inches("4x6in", 4, 6), []string{"4r"}},
	{inches("5x7in", 5, 7), []string{"5r"}}, {inches("6x8in", 6, 8), []string{"6r"}},
	{inches("8x10in", 8, 10), []string{"8r"}}, {inches("11x14in", 11, 14), []string{"11r"}},
}

func iso(name string, w, h float64) namedSize { return namedSize{mm(name, w, h), nil} }

// jis names a size so that nobody takes it for ISO's.
func jis(name string, w, h float64) namedSize {
	short := strings.ToLower(name)
	return namedSize{mm("JIS "+name, w, h), []string{short + " jis", short + " (jis)"}}
}

func mm(name string, w, h float64) Size { return Size{Name: name, WidthMM: w, HeightMM: h} }

func inches(name string, w, h float64) Size {
	in := func(v float64) float64 { return units[0].mm(decimal{tenThousandths: int64(v * decimalOne)}) }
	return mm(name, in(w), in(h))
}

// A spelling is one way to write a named size.
type spelling struct {
	text string
	size Size
}

// spellings has the longest first, so that "b4 jis" is not B4 on "jis".
var spellings = spell(named)

func spell(all []namedSize) []spelling {
	var list []spelling
	for _, n := range all {
		for _, text := range append([]string{strings.ToLower(n.Name)}, n.also...) {
			list = append(list, spelling{text, n.Size})
			if dashed := strings.ReplaceAll(text, " ", "-"); dashed != text {
				list = append(list, spelling{dashed, n.Size})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b spelling) int { return cmp.Compare(len(b.text), len(a.text)) })
	return list
}

// cutNamed reads a named size off the front of a tidied name and returns what
// is left. The name must end there: "a12" is not A1.
func cutNamed(text string) (size Size, rest string, ok bool) {
	text = closeUp(text)
	for _, s := range spellings {
		rest, found := strings.CutPrefix(text, s.text)
		if found && endsWord(s.text, rest) {
			return s.size, rest, true
		}
	}
	return Size{}, text, false
}

// apart is a name of the A and B series that is written apart, or after its standard.
var apart = regexp.MustCompile(`^(?:(din|iso|jis)[ -]?)?([ab])[ -]?([0-9])`)

// closeUp writes "a 4", "din a4" and "iso-a4" as "a4", and "jis-b 4" as "jis b4".
func closeUp(text string) string {
	m := apart.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	rest := m[2] + m[3] + text[len(m[0]):]
	if m[1] == "jis" && m[2] == "b" {
		return "jis " + rest
	}
	return rest
}

// endsWord reports whether a word just read is a word of its own: nothing, a
// separator or a number of copies follows, or it ends in a sign (A3+, 24x36") and a
// letter follows.
func endsWord(word, rest string) bool {
	if rest == "" || strings.IndexByte(" -,@", rest[0]) >= 0 || copiesAlone.MatchString(rest) {
		return true
	}
	last := word[len(word)-1]
	return !isLetter(last) && !isDigit(last) && isLetter(rest[0])
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// isLetter reports whether c begins or ends a letter: ASCII, or any byte of a
// rune beyond it.
func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' || c >= 0x80 }
