package isolate

import (
	"os"
	"os/exec"
	"testing"

	"sizewright/internal/testkit/reference"
)

// In the service, which has a capability, and when root runs the program.
func TestAChildHasNoCapability(t *testing.T) {
	service := reference.ServiceOf(t, "../../systemd/sizewright@.service")
	program, path := reference.Program(t), marsh(t, reference.Public(t))
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	const none = "dies by 9 CapInh:\t0000000000000000 CapPrm:\t0000000000000000 CapEff:\t0000000000000000 CapAmb:\t0000000000000000 NoNewPrivs:\t1"
	for who, cmd := range map[string]*exec.Cmd{"the service": service.Command(program), "root": exec.Command(program)} {
		cmd.Env = append(os.Environ(), parentOf+"="+path)
		out, err := cmd.CombinedOutput()
		if err != nil || string(out) != none && !(underRace && who == "root") {
			t.Errorf("a child of %s has %s, %v\nwant %s", who, out, err, none)
		}
	}
}
