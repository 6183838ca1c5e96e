package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// help is what cobra prints for --help, in its parts.
type help struct {
	short    string // one line, which the list of commands has
	long     string // paragraphs, separated by an empty line
	usage    string // the command with its arguments, without its options
	examples string
	options  []item
	commands []item
}

// item is an option or a command with what it does.
type item struct{ term, text string }

// itemLine is a line of a list: "      --plot file   draw ..." or "  check   Read ...".
var itemLine = regexp.MustCompile(`^ +(?:-\w, )?(\S+(?: \S+)?) {2,}(\S.*)$`)

// parse reads help. Its sections begin with these headings, each on a line of its own.
func parse(text string) (help, error) {
	var h help
	sections := split(text, "Usage:", "Examples:", "Available Commands:", "Flags:")
	h.long = strings.TrimSpace(sections[""])
	if h.long != "" && !strings.HasSuffix(h.long, ".") {
		h.long += "."
	}
	usage, _, _ := strings.Cut(strings.TrimSpace(sections["Usage:"]), "\n")
	h.usage = strings.TrimPrefix(strings.TrimSuffix(usage, " [flags]"), "sizewright ")
	h.examples = strings.ReplaceAll(strings.TrimSpace(sections["Examples:"]), "\n  ", "\n")
	var err error
	if h.commands, err = items(sections["Available Commands:"]); err != nil {
		return h, err
	}
	if h.options, err = items(sections["Flags:"]); err != nil {
		return h, err
	}
	for i, o := range h.options {
		name, value, _ := strings.Cut(o.term, " ")
		h.options[i].term = strings.TrimSpace(name + " " + strings.ToUpper(value))
		h.options[i].text = strings.ToUpper(o.text[:1]) + o.text[1:]
	}
	if h.long == "" || h.usage == "" {
		return h, fmt.Errorf("this help has another form than cobra's:\n%s", text)
	}
	return h, nil
}

// split returns a text's sections by their headings; what precedes the first has the heading "".
func split(text string, headings ...string) map[string]string {
	sections, heading := map[string]string{}, ""
	for line := range strings.Lines(text) {
		if name := strings.TrimSpace(line); slices.Contains(headings, name) {
			heading = name
			continue
		}
		sections[heading] += line
	}
	return sections
}

// items returns the items of a list, without cobra's own (help and --help, --version).
func items(list string) ([]item, error) {
	list, _, _ = strings.Cut(list, "\nUse \"")
	var found []item
	for line := range strings.Lines(list) {
		line = strings.TrimRight(line, "\n")
		if line == "" {
			continue
		}
		m := itemLine.FindStringSubmatch(line)
		if m == nil {
			return nil, fmt.Errorf("this line of the help is no item of a list: %q", line)
		}
		if m[1] != "help" && m[1] != "--help" && m[1] != "--version" {
			found = append(found, item{m[1], m[2]})
		}
	}
	return found, nil
}
