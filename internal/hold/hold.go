// Package hold is the one table of holds: why an order makes no print.
//
// A [Kind] is registered by [New] beside the code that finds it, with its code for
// programs and what to do about it. A [Hold] is one of a kind, with its sentence: it is
// an error up to the decision of its order, and goes from there to the record, the
// page and the terminal. A new kind touches the file that finds it and the test that
// feeds every kind an order (cmd/sizewright).
package hold

import (
	"fmt"
	"slices"
	"strings"

	"sizewright/internal/remedy"
)

// Hold is why one order makes no print. Its form is that of the plan's JSON.
type Hold struct {
	Code   string `json:"code"`             // for programs
	Text   string `json:"text"`             // what is wrong, a sentence without its full stop
	Remedy string `json:"remedy,omitempty"` // what to do, likewise; "" only in records from before it was kept
}

// Error is what is wrong and what to do, in one sentence.
func (h *Hold) Error() string { return remedy.Join(h.Text, h.Remedy) }

// Advice is the remedy, for [remedy.Split].
func (h *Hold) Advice() string { return h.Remedy }

// Is makes errors.Is(err, kind) true of a hold of that kind.
func (h *Hold) Is(target error) bool {
	k, is := target.(Kind)
	return is && k.Code == h.Code
}

// Kind is a sort of hold.
type Kind struct {
	Code   string
	Remedy string // what to do about it, where [Kind.With] gives nothing better
}

// Error makes a Kind a target for errors.Is.
func (k Kind) Error() string { return k.Code }

var kinds = map[string]Kind{}

// New registers a kind. A code that is registered already is a mistake in the program.
func New(code, remedy string) Kind {
	if _, taken := kinds[code]; taken {
		panic("hold: " + code + " is registered twice")
	}
	k := Kind{code, remedy}
	kinds[code] = k
	return k
}

// With is the kind with a remedy for the case in hand.
func (k Kind) With(remedy string) Kind { return Kind{k.Code, remedy} }

// Say is a hold of this kind.
func (k Kind) Say(format string, args ...any) *Hold {
	return &Hold{Code: k.Code, Text: fmt.Sprintf(format, args...), Remedy: k.Remedy}
}

// Of is the kind with this code. One that is not known, as from a record of another
// version, has a remedy that is never wrong.
func Of(code string) Kind {
	if k, ok := kinds[code]; ok {
		return k
	}
	return Kind{code, "look at the file, and drop it again"}
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
