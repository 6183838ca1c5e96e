package main

import (
	"fmt"
	"strings"
)

// page is a man page being written.
type page struct{ strings.Builder }

func (p *page) line(s string) { p.WriteString(s + "\n") }

func (p *page) section(name string) { p.line(".SH " + name) }

// title writes the heading and the line that whatis(1) and apropos(1) show.
func (p *page) title(name, short, date, version string) {
	p.line(fmt.Sprintf(`.TH %s 1 "%s" "%s" "User Commands"`, strings.ToUpper(name), date, escaped(version)))
	p.section("NAME")
	p.line(escaped(name) + ` \- ` + escaped(strings.ToLower(short[:1])+short[1:]))
}

// paragraphs writes text; an empty line separates paragraphs.
func (p *page) paragraphs(text string) {
	for i, paragraph := range strings.Split(text, "\n\n") {
		if i > 0 {
			p.line(".PP")
		}
		p.line(escaped(paragraph))
	}
}

// item writes a term with its explanation indented below it.
func (p *page) item(term, text string) {
	p.line(".TP")
	p.line(".B " + escaped(term))
	p.line(escaped(text))
}

// escaped returns text that roff shows unchanged: a hyphen stays a hyphen, and no line is a
// request.
func escaped(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
