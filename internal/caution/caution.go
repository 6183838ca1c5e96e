// Package caution is the one table of cautions: what a printmaker should know of a
// print that is made all the same.
//
// A [Kind] is registered by [New] beside the code that finds it, with its code for
// programs, its grade and the one thing to do about it. So a new caution touches the
// file that finds it and the test that feeds every kind a file (cmd/sizewright). A
// [Caution] is one of a kind, with its sentence: it goes from the file or the plan to
// the record and from there to the page.
package caution

import (
	"fmt"
	"slices"
	"strings"
)

// Caution is one thing to know of one print. Its form is that of the print record.
type Caution struct {
	Code string `json:"code"` // for programs
	Text string `json:"text"` // one sentence for people
}

// Grade is how much a caution asks of a person.
type Grade int

// The grades, from the least.
const (
	ForTheRecord Grade = iota // nothing is to be done
	WorthALook                // a look at the preview before paper is spent
	NeedsYou                  // a decision before paper is spent
)

// Kind is a sort of caution.
type Kind struct {
	Code  string
	Grade Grade
	Do    string // the one thing to do about it, a sentence or two; "" for the record
}

var kinds = map[string]Kind{}

// New registers a kind. A code that is registered already is a mistake in the program.
func New(code string, grade Grade, do string) Kind {
	if _, taken := kinds[code]; taken {
		panic("caution: " + code + " is registered twice")
	}
	k := Kind{code, grade, do}
	kinds[code] = k
	return k
}

// Say is a caution of this kind. What shows it sets the full stop.
func (k Kind) Say(format string, args ...any) Caution {
	return Caution{Code: k.Code, Text: strings.TrimSuffix(fmt.Sprintf(format, args...), ".")}
}

// What several kinds ask for.
const (
	Look          = "Look at the preview before it goes on paper."
	LookAtColours = "Look at its colours. If they are wrong, export the picture with its profile and drop it again."
)

// Of is the kind of a caution. One whose code is not known, as from a record of
// another version, is worth a look.
func Of(c Caution) Kind {
	if k, ok := kinds[c.Code]; ok {
		return k
	}
	return Kind{c.Code, WorthALook, Look}
}

// All are the kinds of this program, by code.
func All() []Kind {
	var all []Kind
	for _, k := range kinds {
		all = append(all, k)
	}
	slices.SortFunc(all, func(a, b Kind) int { return strings.Compare(a.Code, b.Code) })
	return all
}

// Asks is what a print with these cautions asks of a person: the caution with the highest
// grade, the first of those; false where all are for the record.
func Asks(cautions []Caution) (Caution, bool) {
	if len(cautions) == 0 {
		return Caution{}, false
	}
	c := slices.MaxFunc(cautions, func(a, b Caution) int { return int(Of(a).Grade) - int(Of(b).Grade) })
	return c, Of(c).Grade > ForTheRecord
}
