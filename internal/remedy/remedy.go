// Package remedy keeps what to do about a fault beside the fault, as a field of its
// own, and puts the two together in one place.
//
// Both are sentences as errors have them: without a capital and without a full stop.
package remedy

import (
	"errors"
	"fmt"
	"strings"
)

// An Error is a fault with its remedy.
type Error struct {
	Fault  error
	Remedy string
}

// Errorf is a fault, worded as by [fmt.Errorf], and what to do about it.
func Errorf(remedy, format string, args ...any) error {
	return &Error{fmt.Errorf(format, args...), remedy}
}

func (e *Error) Error() string { return Join(e.Fault.Error(), e.Remedy) }
func (e *Error) Unwrap() error { return e.Fault }

// Advice is the remedy, for [Split].
func (e *Error) Advice() string { return e.Remedy }

const between = "; "

// Join is fault and remedy as one sentence: "marsh.jpg is empty; copy it again". It is
// the fault alone where there is no remedy.
func Join(fault, remedy string) string {
	if remedy == "" {
		return fault
	}
	return fault + between + remedy
}

// Split is an error's fault and its remedy, "" where it has none. What was wrapped
// around an error stays with its fault.
func Split(err error) (fault, remedy string) {
	var e interface{ Advice() string }
	fault = err.Error()
	if errors.As(err, &e) {
		if rest, last := strings.CutSuffix(fault, between+e.Advice()); last {
			return rest, e.Advice()
		}
	}
	return fault, ""
}
