// Command manpages writes the man pages of a sizewright program from its help:
//
//	go run ./scripts/manpages PROGRAM DIR DATE
//
// man-pages(7) has the sections and their order, man(7) the macros.
package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "manpages:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) != 3 {
		return errors.New("give the program, the directory for the man pages and their date")
	}
	program, dir, date := args[0], args[1], args[2]
	version, err := output(program, "--version")
	if err != nil {
		return err
	}
	version, _, _ = strings.Cut(version, "\n")
	all, err := helpOf(program)
	if err != nil {
		return err
	}
	var commands []help
	for _, c := range all.commands {
		h, err := helpOf(program, c.term)
		if err != nil {
			return err
		}
		h.short = c.text
		commands = append(commands, h)
		if err := write(dir, "sizewright-"+c.term, commandPage(c.term, h, date, version)); err != nil {
			return err
		}
	}
	return write(dir, "sizewright", mainPage(all, commands, date, version))
}

func write(dir, name, text string) error {
	return os.WriteFile(filepath.Join(dir, name+".1"), []byte(text), 0o644)
}

func helpOf(program string, command ...string) (help, error) {
	text, err := output(program, append(command, "--help")...)
	if err != nil {
		return help{}, err
	}
	h, err := parse(text)
	if err != nil {
		return help{}, fmt.Errorf("%s %s: %w", program, strings.Join(command, " "), err)
	}
	return h, nil
}

func output(program string, args ...string) (string, error) {
	c := exec.Command(program, args...)
	c.Stderr = os.Stderr
	out, err := c.Output()
	return string(out), err
}

// mainPage returns sizewright(1).
func mainPage(all help, commands []help, date, version string) string {
	var p page
	p.title("sizewright", "print-ready TIFFs from photographs in size-named folders", date, version)
	p.section("SYNOPSIS")
	p.line(`.B sizewright`)
	p.line(`.I COMMAND`)
	p.line(`[\fIoptions\fR]`)
	p.section("DESCRIPTION")
	p.paragraphs(all.long)
	p.section("COMMANDS")
	p.paragraphs("Each has a man page of its own, such as sizewright-init(1).")
	for _, c := range commands {
		p.item(c.usage, c.short+".")
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
	for _, r := range reference {
		p.section(r[0])
		p.paragraphs(r[1])
	}
	var others []string
	for _, c := range all.commands {
		others = append(others, "sizewright-"+c.term+"(1)")
	}
	p.section("SEE ALSO")
	p.paragraphs(strings.Join(others, ", "))
	return p.String()
}

// commandPage returns the page of one command.
func commandPage(name string, h help, date, version string) string {
	var p page
	p.title("sizewright-"+name, h.short, date, version)
	p.section("SYNOPSIS")
	p.line(".B " + escaped("sizewright "+h.usage))
	if len(h.options) > 0 {
		p.line(`[\fIoptions\fR]`)
	}
	p.section("DESCRIPTION")
	p.paragraphs(h.long)
	if len(h.options) > 0 {
		p.section("OPTIONS")
	}
	for _, o := range h.options {
		p.item(o.term, o.text+".")
	}
	if h.examples != "" {
		p.section("EXAMPLES")
		p.line(".nf")
		p.line(escaped(h.examples))
		p.line(".fi")
	}
	p.section("SEE ALSO")
	p.paragraphs("sizewright(1)")
	return p.String()
}
