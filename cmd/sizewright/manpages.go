//go:build manpages

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"sizewright/internal/version"
)

// With -tags manpages the program writes its man pages and does nothing else:
//
//	go run -tags manpages ./cmd/sizewright DIR DATE
//
// man-pages(7) has the sections and their order, man(7) the macros.
func init() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "give the directory for the man pages and their date")
		os.Exit(exitUsage)
	}
	dir, date := os.Args[1], os.Args[2]
	all := root()
	pages := map[string]string{"sizewright": mainPage(all, date)}
	for _, c := range all.Commands() {
		pages["sizewright-"+c.Name()] = commandPage(c, date)
	}
	for name, text := range pages {
		if err := os.WriteFile(filepath.Join(dir, name+".1"), []byte(text), 0o644); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(exitFault)
		}
	}
	os.Exit(exitOK)
}

// mainPage returns sizewright(1).
func mainPage(all *cobra.Command, date string) string {
	var p page
	p.title("sizewright", all.Short, date)
	p.section("SYNOPSIS")
	p.line(`.B sizewright`)
	p.line(`.I COMMAND`)
	p.line(`[\fIoptions\fR]`)
	p.section("DESCRIPTION")
	p.paragraphs(all.Long)
	p.section("COMMANDS")
	p.paragraphs("Each has a man page of its own, such as sizewright-init(1).")
	for _, c := range all.Commands() {
		p.item(usage(c), c.Short+".")
	}
	p.section("EXIT STATUS")
	for _, s := range [][2]string{
		{"0", "Everything was done."},
		{"1", "A fault that is not the picture's, such as a full disk or a mistake in the configuration."},
		{"2", "The command line is not understood."},
		{"3", "A picture was held, or would be held."},
	} {
		p.item(s[0], s[1])
	}
	p.section("FILES")
	for _, f := range [][2]string{
		{"sizewright.toml", "The studio's settings, optional. \"sizewright init\" writes one that lists every key with its default."},
		{"drop/SIZE/", "Drop photographs here. The folder's name is the print's size, such as A2 or 24x36in, and a stock may follow it: \"24x36in canvas\"."},
		{"outbox/SIZE/", "The prints, each with its record, a preview and a drawing."},
		{"outbox/morning/latest.html", "The newest morning report."},
		{"held/SIZE/", "The originals of pictures that were not printed, each with the reason beside it."},
		{"originals/SIZE/", "The originals of the prints."},
		{"/usr/share/doc/sizewright/", "How to start (README.md), the changes, and an example configuration."},
	} {
		p.item(f[0], f[1])
	}
	var others []string
	for _, c := range all.Commands() {
		others = append(others, "sizewright-"+c.Name()+"(1)")
	}
	p.section("SEE ALSO")
	p.paragraphs(strings.Join(others, ", "))
	return p.String()
}

// commandPage returns the page of one command.
func commandPage(c *cobra.Command, date string) string {
	var p page
	p.title("sizewright-"+c.Name(), c.Short, date)
	p.section("SYNOPSIS")
	p.line(".B " + escaped("sizewright "+usage(c)))
	if c.HasAvailableLocalFlags() {
		p.line(`[\fIoptions\fR]`)
	}
	p.section("DESCRIPTION")
	long := c.Long
	if long == "" {
		long = c.Short + "."
	}
	p.paragraphs(long)
	if c.HasAvailableLocalFlags() {
		p.section("OPTIONS")
	}
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		value, help := pflag.UnquoteUsage(f)
		name := "--" + f.Name
		if value != "" {
			name += " " + strings.ToUpper(value)
		}
		help = strings.ToUpper(help[:1]) + help[1:]
		if f.DefValue != "" && f.DefValue != "false" {
			help += fmt.Sprintf(" (default %q)", f.DefValue)
		}
		p.item(name, help+".")
	})
	if c.Example != "" {
		p.section("EXAMPLES")
		p.line(".nf")
		p.line(escaped(strings.ReplaceAll(c.Example, "\n  ", "\n")[2:]))
		p.line(".fi")
	}
	p.section("SEE ALSO")
	p.paragraphs("sizewright(1)")
	return p.String()
}

// usage returns a command's synopsis without its options.
func usage(c *cobra.Command) string {
	return strings.TrimPrefix(strings.TrimSuffix(c.UseLine(), " [flags]"), "sizewright ")
}

// page is a man page being written.
type page struct{ strings.Builder }

func (p *page) line(s string) { p.WriteString(s + "\n") }

func (p *page) section(name string) { p.line(".SH " + name) }

// title writes the heading and the line that whatis(1) and apropos(1) show.
func (p *page) title(name, short, date string) {
	p.line(fmt.Sprintf(`.TH %s 1 "%s" "%s" "User Commands"`, strings.ToUpper(name), date, escaped(version.Software())))
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
