package config

import (
	"fmt"
	"slices"
)

// compareKeys checks what keys only show together, if the table gives one of
// them: a layer above has been checked by itself.
func (r *reader) compareKeys(t *table) {
	const minimum, caution = "minimum_ppi", "caution_ppi"
	if t.settings == nil {
		return
	}
	s := t.settings()
	if s.MinimumPPI == 0 || s.CautionPPI == 0 || s.MinimumPPI <= s.CautionPPI {
		return
	}
	if at, given := t.at[minimum]; given {
		r.problem(at, slices.Concat(t.path, []string{minimum}),
			fmt.Sprintf("%v is above %s, which is %v: give at most that", s.MinimumPPI, caution, s.CautionPPI))
	} else if at, given := t.at[caution]; given {
		r.problem(at, slices.Concat(t.path, []string{caution}),
			fmt.Sprintf("%v is below %s, which is %v: give at least that", s.CautionPPI, minimum, s.MinimumPPI))
	}
}
