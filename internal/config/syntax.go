package config

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"

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
			return newDocument(nil), append(faults, syntaxFault{position{1, 1}, err.Error()})
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
	reason := strings.TrimPrefix(fault.Error(), "toml: ")
	text := remedy(string(line))
	switch {
	case len(fault.Key()) > 0: // go-toml names keys only in what is said twice
		text = reason + ": keep one of the two"
	case text == "":
		text = fmt.Sprintf("the line cannot be read (%s): write KEY = VALUE, with text in quotes", reason)
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

// remedy recognises such a slip in a line that could not be read, else "".
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
	return ""
}
