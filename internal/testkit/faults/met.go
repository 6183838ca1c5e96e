//go:build linux

package faults

import "strings"

// met notes how many daemons logged one of these texts. It is a finding if none did: then
// the fault of the mode did not occur and nothing was tested.
func (t *modeRun) met(texts ...string) {
	said := 0
	for _, d := range t.trial.daemons {
		for _, text := range texts {
			if d.Said(text) {
				said++
				break
			}
		}
	}
	t.result.note("%d of %d daemons met: %s", said, len(t.trial.daemons), strings.Join(texts, " or "))
	if said == 0 {
		t.trial.wrong.add(Wrong, "no daemon met %q, so nothing was tried", texts)
	}
}
