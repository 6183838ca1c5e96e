package config

import (
	"slices"
	"strings"
)

// A NamedFile is a profile or a font that a table of the file names, and where. Line
// and Column are those of its key and count from 1, columns in characters.
type NamedFile struct {
	Key    string // profile or caption_font
	Path   string // as written: absolute, or from the studio's directory
	Table  string // print, stock.lustre, folder."A4 lustre", as written
	Line   int
	Column int
	Text   string // of a font: the captions that are set in it, without their placeholders
}

// The keys that name files.
const (
	ProfileKey     = "profile"
	CaptionFontKey = "caption_font"
)

// FilesNamed lists every table that names a profile, in the order in which the file opens
// them, then every one that names a font. The slice is the caller's own.
func (c *Config) FilesNamed() []NamedFile { return slices.Clone(c.files) }

// Problem reports a mistake about the file, at its place in the configuration; text says
// what is wrong with it and what would do.
func (n NamedFile) Problem(file, text string) Problem {
	return Problem{File: file, Line: n.Line, Column: n.Column, Key: n.Table + "." + n.Key, Text: text}
}

// noteFiles keeps the files that the tables name.
func (r *reader) noteFiles() {
	note := func(t *table, key, path, text string) {
		if at := t.at[key]; t.gives(key) && path != "" {
			r.config.files = append(r.config.files, NamedFile{key, path, dotted(t.path), at.line, at.column, text})
		}
	}
	texts := map[*table]string{}
	for _, c := range r.resolutions() {
		t, text := c.giver(CaptionFontKey), inBraces.ReplaceAllString(c.settings.Caption, "")
		if !strings.Contains(texts[t], text) {
			texts[t] += text
		}
	}
	for _, t := range r.opened {
		if t.own != nil {
			note(t, ProfileKey, t.own.Profile, "")
		}
	}
	for _, t := range r.opened {
		if t.own != nil {
			note(t, CaptionFontKey, t.own.CaptionFont, texts[t])
		}
	}
}
