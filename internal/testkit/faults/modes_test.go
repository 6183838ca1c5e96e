//go:build linux

package faults

import (
	"slices"
	"testing"
)

// passes runs a mode for a short time; scripts/faults.sh and scripts/soak.sh have the long ones.
func passes(t *testing.T, name string, o Options) *Result {
	t.Helper()
	i := slices.IndexFunc(Modes, func(m Mode) bool { return m.Name == name })
	o.Dir, o.Binary, o.Seed = t.TempDir(), built, 8
	r, err := Modes[i].Run(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Found {
		t.Error(f)
	}
	t.Log(r.Line(), r.Notes)
	return r
}

func TestADaemonKilledAtAnyMomentLosesNothing(t *testing.T) {
	passes(t, "kills", Options{Tries: 8, Orders: 12})
}

func TestNoNumberOfAnEditionIsGivenTwice(t *testing.T) {
	passes(t, "editions", Options{Tries: 3, Orders: 6})
}

func TestASecondDaemonIsRefused(t *testing.T) { passes(t, "second", Options{Tries: 3, Orders: 3}) }

func TestHostileFilesTakeNobodyWithThem(t *testing.T) {
	passes(t, "hostile", Options{Tries: 1, Orders: 5})
}

func TestWhateverBreaksBetweenMachinesLosesNothing(t *testing.T) {
	passes(t, "workers", Options{Tries: 3, Orders: 4})
}
