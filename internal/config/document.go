package config

import (
	"bytes"
	"sort"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// A document is TOML text with the two views of it that go-toml offers:
// decoded values, which are checked for duplicates and the like but have lost
// their places, and the syntax tree, which keeps them. Decoding into a struct
// would stop at the first value of a wrong type.
type document struct {
	text   []byte
	starts []int // where each line begins
	values map[string]any
}

func newDocument(text []byte) *document {
	starts := []int{0}
	for i, c := range text {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return &document{text: text, starts: starts}
}

// entries walks the syntax tree. It needs the decoded values.
func (d *document) entries() []entry {
	w := walker{document: d}
	parser := unstable.Parser{}
	parser.Reset(d.text)
	for parser.NextExpression() {
		w.expression(parser.Expression())
	}
	return w.entries
}

// A walker collects entries below the table that was opened last.
type walker struct {
	*document
	table   []string
	entries []entry
}

func (w *walker) expression(node *unstable.Node) {
	switch node.Kind {
	case unstable.Table:
		w.table = w.add(tableEntry, nil, node.Key(), nil)
	case unstable.ArrayTable:
		w.table = w.add(listEntry, nil, node.Key(), nil)
	case unstable.KeyValue:
		w.keyValue(w.table, node)
	}
}

// keyValue adds a value, or what an inline table opens and holds.
func (w *walker) keyValue(table []string, node *unstable.Node) {
	if node.Value().Kind != unstable.InlineTable {
		w.add(valueEntry, table, node.Key(), w.valueAt)
		return
	}
	opened := w.add(tableEntry, table, node.Key(), nil)
	for pairs := node.Value().Children(); pairs.Next(); {
		if pairs.Node().Kind == unstable.KeyValue {
			w.keyValue(opened, pairs.Node())
		}
	}
}

// add appends an entry and returns its path, which is its own memory.
func (w *walker) add(kind entryKind, table []string, key unstable.Iterator, value func([]string) (any, bool)) []string {
	e := entry{kind: kind, path: append([]string(nil), table...)}
	for key.Next() {
		if e.at.line == 0 {
			e.at = w.position(int(key.Node().Raw.Offset))
		}
		e.path = append(e.path, string(key.Node().Data))
	}
	if value != nil {
		var ok bool
		if e.value, ok = value(e.path); !ok {
			return e.path // inside a list of tables, which is reported as a whole
		}
	}
	w.entries = append(w.entries, e)
	return e.path
}

// valueAt finds a decoded value.
func (d *document) valueAt(path []string) (value any, ok bool) {
	value = d.values
	for _, part := range path {
		table, isTable := value.(map[string]any)
		if value, ok = table[part]; !isTable || !ok {
			return nil, false
		}
	}
	return value, true
}

// position turns an offset into line and column.
func (d *document) position(offset int) position {
	line := sort.SearchInts(d.starts, offset+1)
	return position{line, 1 + utf8.RuneCount(d.text[d.starts[line-1]:offset])}
}

// line returns a line without its end, nil beyond the text.
func (d *document) line(n int) []byte {
	if n < 1 || n > len(d.starts) {
		return nil
	}
	end := len(d.text)
	if n < len(d.starts) {
		end = d.starts[n] - 1
	}
	return bytes.TrimSuffix(d.text[d.starts[n-1]:end], []byte("\r"))
}

// decode reads the text into values.
func (d *document) decode() error {
	d.values = map[string]any{}
	return toml.Unmarshal(d.text, &d.values)
}
