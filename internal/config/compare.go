package config

import (
	"fmt"
	"slices"

	"sizewright/internal/colour"
)

// compareKeys checks what a table's keys only show together.
func (r *reader) compareKeys(t *table) {
	if t.own != nil {
		r.compareDestinations(t)
		r.compareBlackPoint(t)
	}
	if t.settings != nil {
		r.compareResolutions(t)
		r.comparePaper(t)
	}
	if t.check != nil {
		t.check()
	}
}

// compareResolutions checks the least resolution against that of a caution, if
// the table gives one of them: a layer above has been checked by itself.
func (r *reader) compareResolutions(t *table) {
	const minimum, caution = "minimum_ppi", "caution_ppi"
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

// compareDestinations refuses two spaces to convert one print to. Where they
// meet only by layering, the nearer one counts; see layer.over.
func (r *reader) compareDestinations(t *table) {
	const profile, space = "profile", "working_space"
	if !t.gives(profile) || !t.gives(space) || t.own.Profile == "" || t.own.WorkingSpace == "" {
		return
	}
	r.problem(t.at[space], slices.Concat(t.path, []string{space}),
		"a print is converted to one space, and profile gives another: take away profile or working_space")
}

// compareBlackPoint refuses a compensation that is asked for and cannot be
// had. One that is inherited or the default is not asked for here.
func (r *reader) compareBlackPoint(t *table) {
	const intent, compensation = "intent", "black_point_compensation"
	if !t.gives(intent) || !t.gives(compensation) || t.own.Intent != colour.Absolute || !t.own.BlackPointCompensation {
		return
	}
	r.problem(t.at[compensation], slices.Concat(t.path, []string{compensation}),
		`true has no effect with the intent "absolute", which keeps black as it was measured: `+
			`take the line away, or give the intent "relative"`)
}
