package config

import (
	"bytes"
	"slices"
)

// Parse reads the text of a configuration; name is the file's, for errors. All
// mistakes come in one error, [Problems], and then there is no Config. What need not keep
// a file from being used comes as Warnings of the Config: keys of earlier versions, and
// settings that do nothing or spoil paper.
func Parse(name string, data []byte) (*Config, error) {
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return nil, Problems{{File: name, Line: 1, Column: 1, Text: "the file is UTF-16 text: save it as UTF-8"}}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // some editors begin UTF-8 with a mark

	r := newReader(name)
	document, faults := readDocument(data)
	for _, fault := range faults {
		r.problem(fault.at, nil, fault.text)
	}
	for _, e := range document.entries() {
		r.entry(e)
	}
	for _, t := range r.opened {
		r.compareKeys(t)
	}
	if err := r.problems.inOrder(); err != nil {
		return nil, err // what a mended file would leave undone is not known yet
	}
	r.noteFiles()
	r.findEffects()
	r.config.Warnings.inOrder()
	return r.config, nil
}

// A reader fills a Config from entries and collects the problems.
type reader struct {
	file     string
	config   *Config
	problems Problems
	tables   map[string]*table // by pathID; nil for one that was reported and is passed over
	opened   []*table          // in the order of the file
	claimed  map[any]string    // the table that first spoke of a stock (its canonical name) or a print
}

func newReader(file string) *reader {
	return &reader{file: file, config: Default(), tables: map[string]*table{}, claimed: map[any]string{}}
}

// problem reports a mistake about the key or table at path.
func (r *reader) problem(at position, path []string, text string) {
	r.problems = append(r.problems, Problem{File: r.file, Line: at.line, Column: at.column, Key: dotted(path), Text: text})
}

// warn adds a warning about the key or table at path.
func (r *reader) warn(at position, path []string, text string) *Problem {
	r.config.Warnings = append(r.config.Warnings, Problem{File: r.file, Line: at.line, Column: at.column, Key: dotted(path), Text: text})
	return &r.config.Warnings[len(r.config.Warnings)-1]
}

// entry reads one thing that the file says.
func (r *reader) entry(e entry) {
	switch e.kind {
	case tableEntry:
		r.open(e.path, e.at)
	case listEntry:
		if _, reported := r.tables[pathID(e.path)]; !reported {
			r.tables[pathID(e.path)] = nil
			r.problem(e.at, e.path, "write a table's name in single brackets, and each table once")
		}
	case valueEntry:
		last := len(e.path) - 1
		if t := r.open(e.path[:last], e.at); t != nil {
			r.value(t, e.path[last], e)
		}
	}
}

// value reads a key of an open table.
func (r *reader) value(t *table, key string, e entry) {
	switch {
	case t.read == nil:
		r.problem(e.at, e.path, heldKey(t.name, key))
	case r.retired(t, key, e), r.moved(t, key, e):
	case !slices.Contains(keyNames[t.name], key):
		r.problem(e.at, e.path, unknownKey(t.path, key))
	default:
		if err := t.read(key, r.renamed(key, e)); err != nil {
			r.problem(e.at, e.path, err.Error())
			return
		}
		t.at[key] = e.at
	}
}
