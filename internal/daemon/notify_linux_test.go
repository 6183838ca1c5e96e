package daemon

import (
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/testkit/reference"
)

// The service has a capability that the program is not to have.
func TestTheProgramHasNoCapability(t *testing.T) {
	cmd := reference.ServiceOf(t, "../../systemd/sizewright@.service").Command(reference.Program(t))
	heard := filepath.Join(reference.Public(t), "heard")
	if err := os.WriteFile(heard, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(heard, 0o666); err != nil {
		t.Fatal(err)
	}
	tell := filepath.Join(filepath.Dir(heard), "tell")
	if err := os.WriteFile(tell, []byte("#!/bin/sh\ngrep -E '^Cap(Inh|Prm|Eff|Amb)' /proc/self/status > "+heard+"\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	cmd.Env = append(os.Environ(), notifying+"="+tell)
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Fatalf("%v: %s", err, out)
	}
	const none = "CapInh:\t0000000000000000\nCapPrm:\t0000000000000000\nCapEff:\t0000000000000000\nCapAmb:\t0000000000000000\n"
	if got, err := os.ReadFile(heard); err != nil || string(got) != none {
		t.Errorf("the program has\n%swant\n%s%v", got, none, err)
	}
}
