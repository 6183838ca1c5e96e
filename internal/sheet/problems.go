package sheet

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// A Problem is one value that is not possible: its key, such as "margins.left_mm", and a
// sentence with a remedy. The configuration adds file and line.
type Problem struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

// longest is the greatest length accepted, in mm: 100 m, longer than any roll.
const longest = 100_000

type problems []Problem

func (p *problems) add(key, format string, args ...any) {
	*p = append(*p, Problem{key, fmt.Sprintf(format, args...)})
}

// length reports whether v is a length, and adds a problem if not. With above, 0 is not one.
func (p *problems) length(key string, v float64, above bool) bool {
	if v > 0 && v <= longest || v == 0 && !above {
		return true
	}
	want := "0 or more"
	if above {
		want = "above 0"
	}
	p.add(key, "%v is not a possible length: give millimetres, %s and at most %d", v, want, longest)
	return false
}

// Problems returns everything that is wrong with the media, in the order of its keys.
func (m Media) Problems() []Problem {
	var p problems
	if m.Kind != CutSheet && m.Kind != Roll {
		p.add("kind", "%q is not a kind of media: give %q or %q", m.Kind, CutSheet, Roll)
	}
	sound := p.length("width_mm", m.WidthMM, true)
	switch {
	case m.Kind == Roll && m.LengthMM != 0:
		p.add("length_mm", "a roll has no length of its own: leave length_mm out, and give max_length_mm for the longest run")
	case m.Kind == CutSheet:
		sound = p.length("length_mm", m.LengthMM, true) && sound
	}
	sound = m.Margins.problems(&p) && sound
	if p.length("max_length_mm", m.MaxLengthMM, false) && m.Kind == CutSheet && m.MaxLengthMM > 0 && m.LengthMM > m.MaxLengthMM {
		p.add("max_length_mm", "the sheet is %s long, but the longest run is %s: correct one of the two", mm(m.LengthMM), mm(m.MaxLengthMM))
	}
	if sound {
		m.printable(&p, "margins", m.Margins, "")
	}
	for _, name := range slices.Sorted(maps.Keys(m.Modes)) {
		m.mode(&p, name, sound)
	}
	return p
}

func (g Margins) problems(p *problems) bool {
	sound := true
	for _, side := range []struct {
		key string
		mm  float64
	}{
		{"left_mm", g.LeftMM}, {"right_mm", g.RightMM}, {"leading_mm", g.LeadingMM}, {"trailing_mm", g.TrailingMM},
	} {
		sound = p.length("margins."+side.key, side.mm, false) && sound
	}
	return sound
}

// printable adds a problem if margins leave nothing to print on.
func (m Media) printable(p *problems, key string, g Margins, with string) {
	if across := g.LeftMM + g.RightMM; across >= m.WidthMM {
		p.add(key, "left and right margin together are %s%s, which leaves nothing of a width of %s: make them smaller", mm(across), with, mm(m.WidthMM))
	}
	length, of := m.LengthMM, "a length"
	if m.Kind == Roll {
		length, of = m.MaxLengthMM, "the longest run"
	}
	if along := g.LeadingMM + g.TrailingMM; length > 0 && along >= length {
		p.add(key, "leading and trailing margin together are %s%s, which leaves nothing of %s of %s: make them smaller", mm(along), with, of, mm(length))
	}
}

func (m Media) mode(p *problems, name string, sound bool) {
	mode, key := m.Modes[name], "modes."+bare(name)
	switch mode.Side {
	case Left, Right, Leading, Trailing:
	default:
		p.add(key+".side", "%q is not a side of a paper: give %q, %q, %q or %q", mode.Side, Left, Right, Leading, Trailing)
		return
	}
	if p.length(key+".extra_mm", mode.ExtraMM, false) && sound {
		var own, without problems
		m.printable(&own, key+".extra_mm", m.Margins.with(mode), fmt.Sprintf(" with what the mode %s adds", name))
		m.printable(&without, "", m.Margins, "")
		if len(without) == 0 { // otherwise the margins have this problem already
			*p = append(*p, own...)
		}
	}
}

// bare writes a TOML key, in quotes if it needs them.
func bare(name string) string {
	plain := func(r rune) bool {
		return 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || r == '_' || r == '-'
	}
	if name != "" && strings.IndexFunc(name, func(r rune) bool { return !plain(r) }) < 0 {
		return name
	}
	return strconv.Quote(name)
}

// Problems returns everything that is wrong with the options on this media, in the order
// of their keys.
func (o Options) Problems(m Media) []Problem {
	var p problems
	if _, known := m.Modes[o.Mode]; o.Mode != "" && !known {
		p.add("mode", "%s has no mode %q: %s", m.Name, o.Mode, modesOf(m))
	}
	oneOf(&p, "placement", o.Placement, OnSheet, OnPrintable)
	if !(o.RaiseShare >= 0 && o.RaiseShare <= 0.1) {
		p.add("raise_share", "%v is not a share by which a picture can be raised: give one from 0 to 0.1", o.RaiseShare)
	}
	o.Border.problems(&p)
	p.length("bleed_mm", o.BleedMM, false)
	oneOf(&p, "bleed", o.Bleed, Reflect, Stretch, Replicate)
	p.length("wrap_mm", o.WrapMM, false)
	if bordered := cmp.Or(o.Border.Kind, NoBorder) != NoBorder; bordered && o.BleedMM > 0 {
		p.add("bleed_mm", "a picture with a border needs no bleed, because the cut goes through white: remove one of the two")
	} else if bordered && o.WrapMM > 0 {
		p.add("wrap_mm", "a wrap has the picture's sides where a border would be: remove one of the two")
	}
	p.length("mark_length_mm", o.MarkLengthMM, false)
	p.length("mark_gap_mm", o.MarkGapMM, false)
	p.length("caption_height_mm", o.CaptionHeightMM, false)
	return p
}

func (b Border) problems(p *problems) {
	oneOf(p, "border.kind", b.Kind, NoBorder, Even, BottomWeighted, Outer, Mat)
	weighted, sized := b.Kind == Even || b.Kind == BottomWeighted, b.Kind == Outer || b.Kind == Mat
	p.length("border.mm", b.MM, weighted)
	p.length("border.bottom_mm", b.BottomMM, false)
	p.length("border.outer_width_mm", b.OuterWidthMM, sized)
	p.length("border.outer_height_mm", b.OuterHeightMM, sized)
	p.length("border.overlap_mm", b.OverlapMM, false)
}

// oneOf adds a problem if word is neither empty nor known.
func oneOf[T ~string](p *problems, key string, word T, known ...T) {
	if word == "" || slices.Contains(known, word) {
		return
	}
	var names []string
	for _, k := range known {
		names = append(names, strconv.Quote(string(k)))
	}
	p.add(key, "%q is not a known value: give one of %s", word, strings.Join(names, ", "))
}

// picture adds a problem if the picture has no size, or is too small for its sides to be
// reflected from it.
func (p *problems) picture(width, height float64, o Options) {
	if !p.length("picture", width, true) || !p.length("picture", height, true) {
		return
	}
	depth, key := o.BleedMM, "bleed_mm"
	if o.WrapMM > 0 {
		depth, key = depth+o.WrapMM, "wrap_mm"
	}
	if o.Bleed == Reflect && depth > min(width, height) {
		p.add(key, "sides of %s cannot be reflected from a picture of %s: make them less deep", mm(depth), sides(width, height))
	}
}

// modesOf is the remedy for a mode that the media does not have.
func modesOf(m Media) string {
	if len(m.Modes) == 0 {
		return "it has none, so leave mode out or describe it under modes"
	}
	return "give one of " + strings.Join(slices.Sorted(maps.Keys(m.Modes)), ", ") + ", or describe it under modes"
}
