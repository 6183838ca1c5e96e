package config

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sizewright/internal/sheet"
)

// MediaSeparator stands between the names of Settings.Media.
const MediaSeparator = "\n"

var mediaKeys = []key[sheet.Media]{
	newKey("kind", func(m *sheet.Media) *sheet.Kind { return &m.Kind }, oneOf(sheet.CutSheet, sheet.Roll),
		`How the paper comes: "sheet" or "roll".`),
	newKey("width_mm", func(m *sheet.Media) *float64 { return &m.WidthMM }, anyNumber(),
		"Its width across the feed, in millimetres."),
	newKey("length_mm", func(m *sheet.Media) *float64 { return &m.LengthMM }, anyNumber(),
		"The length of a sheet along the feed, in millimetres; a roll has none."),
	newKey("margin_left_mm", func(m *sheet.Media) *float64 { return &m.Margins.LeftMM }, anyNumber(),
		"What the printer cannot print along the left side, as the paper is fed, in millimetres."),
	newKey("margin_right_mm", func(m *sheet.Media) *float64 { return &m.Margins.RightMM }, anyNumber(),
		"The same along the right side."),
	newKey("margin_leading_mm", func(m *sheet.Media) *float64 { return &m.Margins.LeadingMM }, anyNumber(),
		"The same along the edge that goes first."),
	newKey("margin_trailing_mm", func(m *sheet.Media) *float64 { return &m.Margins.TrailingMM }, anyNumber(),
		"The same along the edge that goes last, which on a cut sheet is the widest."),
	newKey("max_length_mm", func(m *sheet.Media) *float64 { return &m.MaxLengthMM }, anyNumber(),
		"The longest run that the printer takes, in millimetres; 0 is no limit."),
	newKey("thickness", func(m *sheet.Media) *string { return &m.Thickness }, textLine(60),
		"Its thickness in words, for the one who loads it."),
}

// A mediaMode is a print mode of a media and how much longer it takes.
type mediaMode struct {
	sheet.Mode
	Times float64
}

var modeKeys = []key[mediaMode]{
	newKey("side", func(m *mediaMode) *sheet.Side { return &m.Side }, oneOf(sheet.Left, sheet.Right, sheet.Leading, sheet.Trailing),
		`The side on which the mode takes more margin: "left", "right", "leading" or "trailing".`),
	newKey("extra_mm", func(m *mediaMode) *float64 { return &m.ExtraMM }, anyNumber(),
		"How much more, in millimetres."),
	newKey("times", func(m *mediaMode) *float64 { return &m.Times }, number(0.1, 100, "times"),
		"How many times as long the mode takes; 1 without."),
}

// mediaPlaces finds the key of this file for one of package sheet's.
var mediaPlaces = map[string]string{
	"margins.left_mm": "margin_left_mm", "margins.right_mm": "margin_right_mm",
	"margins.leading_mm": "margin_leading_mm", "margins.trailing_mm": "margin_trailing_mm",
}

// medium makes the table of one media, with the margins that are usual for its
// kind until the file says others.
func (r *reader) medium(path []string) *table {
	m := &sheet.Media{Name: path[1], Margins: sheet.UsualMargins(sheet.CutSheet)}
	given := map[string]bool{}
	read := into(mediaKeys, m)
	t := &table{name: mediaTable, read: func(key string, value any) error {
		err := read(key, value)
		given[key] = err == nil
		if err == nil && key == "kind" && !given["margin_trailing_mm"] {
			m.Margins.TrailingMM = sheet.UsualMargins(m.Kind).TrailingMM
		}
		return err
	}}
	r.config.media[path[1]] = m
	t.check = func() {
		for _, p := range m.Problems() {
			r.problemOf(t, cmp.Or(mediaPlaces[p.Key], p.Key), p.Text)
		}
	}
	return t
}

// mode makes the table of one print mode of a media.
func (r *reader) mode(path []string, at position) *table {
	r.open(path[:2], at)
	m := r.config.media[path[1]]
	mode := mediaMode{Times: 1}
	read := into(modeKeys, &mode)
	return &table{name: modeTable, read: func(key string, value any) error {
		err := read(key, value)
		if m.Modes == nil {
			m.Modes = map[string]sheet.Mode{}
		}
		m.Modes[path[3]] = mode.Mode
		r.config.modeTimes[path[3]] = mode.Times
		return err
	}}
}

// problemOf reports a mistake about a key of a table, at the key or, where the file
// does not give it, at the table.
func (r *reader) problemOf(t *table, key, text string) {
	at, given := t.at[key]
	if !given {
		at = t.start
	}
	r.problem(at, slices.Concat(t.path, []string{key}), text)
}

// MediaOf are the media that prints with these settings may go on, in order;
// none where the print is the picture alone.
func (c *Config) MediaOf(s Settings) []sheet.Media {
	var all []sheet.Media
	for _, name := range mediaNames(s.Media) {
		if m, ok := c.media[name]; ok {
			all = append(all, *m)
		}
	}
	return all
}

func mediaNames(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return string(r) == MediaSeparator })
}

// comparePaper checks, once the whole file is read, that a table's media are there
// and take what it asks.
func (r *reader) comparePaper(t *table) {
	if t.settings == nil {
		return
	}
	s := t.settings()
	if t.gives("media") {
		for _, name := range mediaNames(t.own.Media) {
			if _, ok := r.config.media[name]; !ok {
				r.problemOf(t, "media", fmt.Sprintf("there is no [%s]: %s", dotted([]string{mediaTable, name}), r.mediaThere()))
			}
		}
	}
	seen := map[string]bool{}
	for _, m := range r.config.MediaOf(s) {
		if len(m.Problems()) > 0 {
			continue // said of the media
		}
		for _, p := range slices.Concat(s.Layout().Problems(m), s.Rates(nil).Problems(m.Kind)) {
			key := cmp.Or(paperPlaces[p.Key], p.Key)
			if (t.gives(key) || t.gives("media")) && !seen[key+p.Text] {
				seen[key+p.Text] = true
				r.problemOf(t, key, inKeys.Replace(p.Text))
			}
		}
	}
}

func (r *reader) mediaThere() string {
	if len(r.config.media) == 0 {
		return "the file describes no media yet"
	}
	var names []string
	for name := range r.config.media {
		names = append(names, fmt.Sprintf("%q", name))
	}
	slices.Sort(names)
	return "there are " + strings.Join(names, ", ")
}
