package isolate

import (
	"os"
	"os/exec"
	"path/filepath"
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

// Under the unit's rules, which refuse memory that is both written and executed, and when root
// runs the program, a HEIF is decoded by the outside program, also of another's file.
func TestAServiceDecodesHEIFs(t *testing.T) {
	service := reference.ServiceOf(t, "../../systemd/sizewright@.service")
	program, dir := reference.Program(t), reference.Public(t)
	for _, name := range []string{"marsh.heic", "marsh.avif"} {
		path := filepath.Join(dir, name)
		b, err := os.ReadFile("../photo/testdata/" + name)
		if err == nil {
			err = os.WriteFile(path, b, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
		for who, cmd := range map[string]*exec.Cmd{"the service": service.Command(program), "root": exec.Command(program)} {
			cmd.Env = append(os.Environ(), parentOf+"="+path, plainly+"=yes")
			if out, err := cmd.CombinedOutput(); err != nil || string(out) != "<nil>\n" {
				t.Errorf("%s, %s: %s, %v", who, name, out, err)
			}
		}
	}
}
