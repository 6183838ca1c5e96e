//go:build linux

package faults

import (
	"fmt"
	"strings"
)

// Kind is a kind of damage.
type Kind string

// The kinds of damage.
const (
	Lost     Kind = "lost"      // an original that is nowhere unchanged, or an order never made
	Doubled  Kind = "doubled"   // an original in two places, or an order made twice
	HalfMade Kind = "half-made" // a partial file, or a file that no record names
	Wrong    Kind = "wrong"     // any other fault
)

// Finding is one piece of damage, with a sentence.
type Finding struct {
	Kind Kind
	Text string
}

func (f Finding) String() string { return string(f.Kind) + ": " + f.Text }

// Findings is a list of damage.
type Findings []Finding

func (f *Findings) add(k Kind, format string, args ...any) {
	*f = append(*f, Finding{k, fmt.Sprintf(format, args...)})
}

// Count returns how many findings are of a kind.
func (f Findings) Count(k Kind) (n int) {
	for _, x := range f {
		if x.Kind == k {
			n++
		}
	}
	return n
}

func (f Findings) String() string {
	lines := make([]string, len(f))
	for i, x := range f {
		lines[i] = x.String()
	}
	return strings.Join(lines, "\n")
}
