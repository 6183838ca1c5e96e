package config

import "slices"

// A NamedProfile is a profile that a table of the file names, and where. Line
// and Column are those of its key and count from 1, columns in characters.
type NamedProfile struct {
	Path   string // as written: absolute, or from the studio's directory
	Table  string // print, stock.lustre, folder."A4 lustre", as written
	Line   int
	Column int
}

// ProfilesNamed lists every table that names a profile, in the order in which
// the file opens them. The slice is the caller's own.
func (c *Config) ProfilesNamed() []NamedProfile { return slices.Clone(c.profiles) }

// Problem reports a mistake about the profile, at its place in the
// configuration file; text says what is wrong with it and what would do.
func (n NamedProfile) Problem(file, text string) Problem {
	return Problem{File: file, Line: n.Line, Column: n.Column, Key: n.Table + ".profile", Text: text}
}

// noteProfile keeps the profile that a table names, if it names one.
func (r *reader) noteProfile(t *table) {
	if !t.gives("profile") || t.own.Profile == "" {
		return
	}
	at := t.at["profile"]
	r.config.profiles = append(r.config.profiles, NamedProfile{t.own.Profile, dotted(t.path), at.line, at.column})
}
