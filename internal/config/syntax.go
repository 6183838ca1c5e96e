package config

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
)

// maxSyntaxFaults is after how many faults reading stops.
const maxSyntaxFaults = 20

// A syntaxFault is a line that is no TOML.
type syntaxFault struct {
	at   position
	text string
}

// readDocument decodes text, setting aside lines that are no TOML so that the
// rest of the file is checked in the same go. Nothing is kept when a list or a
// multi-line text never ends, for it may have swallowed anything.
func readDocument(text []byte) (*document, []syntaxFault) {
	var faults []syntaxFault
	d := newDocument(bytes.Clone(text))
	for lastLine := 0; ; {
		var fault *toml.DecodeError
		err := d.decode()
		if err == nil {
			return d, faults
		}
		if !errors.As(err, &fault) {
			return newDocument(nil), append(faults, syntaxFault{position{1, 1}, "the file cannot be read: save it as UTF-8 text, with KEY = VALUE on each line"})
		}
		row, _ := fault.Position()
		if row <= lastLine || len(faults) == maxSyntaxFaults {
			return newDocument(nil), faults
		}
		lastLine = row
		faults = append(faults, d.explain(fault))
		d.setAside(row)
	}
}

// setAside blanks a line, for the others to keep their numbers. With a table's
// heading it blanks the table, whose keys would land in the table above.
func (d *document) setAside(row int) {
	wholeTable := isHeading(d.line(row))
	for {
		line := d.line(row)
		for i := range line {
			line[i] = ' '
		}
		row++
		if !wholeTable || row > len(d.starts) || isHeading(d.line(row)) {
			return
		}
	}
}

func isHeading(line []byte) bool { return bytes.HasPrefix(bytes.TrimSpace(line), []byte("[")) }

// explain puts a fault of go-toml's into words for a person who does not know TOML.
func (d *document) explain(fault *toml.DecodeError) syntaxFault {
	row, column := fault.Position()
	line := d.line(row)
	at := position{row, column}
	if start := d.starts[row-1]; start+column-1 <= len(d.text) {
		at = d.position(start + column - 1)
	}
	text := remedy(string(line))
	if !utf8.Valid(line) {
		text = "the line holds bytes that are no text: save the file as UTF-8"
	}
	if key := fault.Key(); len(key) > 0 { // go-toml names keys only in what is said twice
		text = dotted(key) + " is in the file already: keep one of the two"
	}
	if isHeading(line) {
		text += "; what stands under it is not checked yet"
	}
	return syntaxFault{at, text}
}

// The slips of those who write TOML for the first time.
var (
	bareText     = regexp.MustCompile(`^\s*([^=\s]+)\s*=\s*([A-Za-z][\w /.-]*?|\d[\d.]*(?:ms|s|m|h))\s*(?:#.*)?$`)
	bareFlag     = regexp.MustCompile(`(?i)^\s*([^=\s]+)\s*=\s*(?:(true|yes|on)|false|no|off)\s*(?:#.*)?$`)
	decimalComma = regexp.MustCompile(`^\s*([^=\s]+)\s*=\s*(-?\d+),(\d+)\s*(?:#.*)?$`)
	bareName     = regexp.MustCompile(`^\s*\[\s*(stock|folder)\s*\.\s*([^"'\].]+?)\s*\]`)
)

// slipsInLines are what else goes wrong in a line, each with what to say of it. The first
// that fits is said.
var slipsInLines = []struct {
	form *regexp.Regexp
	text string
}{
	{regexp.MustCompile(`[“”„‘’‚]`), `write straight quotes, "like these"`},
	{regexp.MustCompile(`^\s*\[[^=]*$`), "a table's name stands between brackets, in quotes if it has spaces or signs: write [NAME]"},
	{regexp.MustCompile(`^\s*[\w."-]+\s*\]+\s*$`), "a table's name stands between brackets: write [NAME]"},
	{regexp.MustCompile(`^\s*[\w."-]+\s*:`), "write = between a key and its value, not a colon"},
	{regexp.MustCompile(`^[^=]*$`), "there is no = on the line: write KEY = VALUE, with text in quotes"},
	{regexp.MustCompile(`==`), "write = once: KEY = VALUE"},
	{regexp.MustCompile(`^\s*=`), "there is no key before the =: write KEY = VALUE"},
	{regexp.MustCompile(`^[^=]*=\s*(?:#.*)?$`), "there is no value after the =: write KEY = VALUE, or take the line out"},
	{regexp.MustCompile(`"[^"]*\\[^"]*"`), `in "..." a \ begins a code: write '...' in single quotes`},
	{regexp.MustCompile(`^[^"]*(?:"[^"]*"[^"]*)*"[^"]*$`), `there is a " too many, or one is missing: write text between two`},
	{regexp.MustCompile(`=\s*\[[^\]]*$`), "the list has no end: write it as [\"one\", \"other\"] on one line"},
	{regexp.MustCompile(`=\s*\{[^}]*$`), "the { has no }: write KEY = VALUE on a line for each, under a [table]"},
	{regexp.MustCompile(`=[^"'\[]*;\s*[^\s#]`), "write each key on a line of its own"},
	{regexp.MustCompile(`[,;]\s*(?:#.*)?$`), "take away the sign at the end of the line"},
	{regexp.MustCompile(`=\s*[-+.]?\d[^"']*$`), "the number cannot be read: write one such as 300 or 0.5, with nothing after it"},
}

// remedy recognises a slip in a line that could not be read.
func remedy(line string) string {
	if m := decimalComma.FindStringSubmatch(line); m != nil {
		return fmt.Sprintf("write decimals with a point: %s = %s.%s", m[1], m[2], m[3])
	}
	if m := bareFlag.FindStringSubmatch(line); m != nil {
		return fmt.Sprintf("write true or false in small letters: %s = %t", m[1], m[2] != "")
	}
	if m := bareText.FindStringSubmatch(line); m != nil {
		return fmt.Sprintf("put text in quotes: %s = %q", m[1], m[2])
	}
	if m := bareName.FindStringSubmatch(line); m != nil {
		return fmt.Sprintf("put a name with spaces or signs in quotes: [%s.%q]", m[1], m[2])
	}
	for _, slip := range slipsInLines {
		if slip.form.MatchString(line) {
			return slip.text
		}
	}
	return "the line cannot be read: write KEY = VALUE, with text in quotes"
}
