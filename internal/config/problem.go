package config

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Problem is one mistake in the file: where it is, which key it is about
// ("print.ppi"; "" when the line could not be read at all), and a sentence that
// says what is wrong and what would do. Lines and columns count from 1, columns
// in characters.
type Problem struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Key    string `json:"key"`
	Text   string `json:"text"`

	// Mistake is set of a warning that "check" counts as a mistake: a setting that does
	// nothing or spoils paper. It keeps nothing from starting.
	Mistake bool `json:"mistake,omitempty"`
}

// Error gives the problem the way compilers do, for editors to jump to.
func (p Problem) Error() string { return p.as("") }

// Warning is Error for one that does not keep the file from being used.
func (p Problem) Warning() string { return p.as("warning: ") }

func (p Problem) as(grade string) string {
	where := fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, grade)
	if p.Key != "" {
		where += p.Key + ": "
	}
	return where + p.Text
}

// Problems are all the mistakes of a file in the order of their lines.
type Problems []Problem

// Error gives one problem a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives them one by one.
func (ps Problems) Unwrap() []error {
	all := make([]error, len(ps))
	for i, p := range ps {
		all[i] = p
	}
	return all
}

// inOrder sorts by line and column and returns nil when there are none.
func (ps Problems) inOrder() error {
	if len(ps) == 0 {
		return nil
	}
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return ps
}
