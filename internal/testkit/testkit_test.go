package testkit

import (
	"os/exec"
	"strings"
	"testing"
)

func TestTheProgramIsMadeWithoutTheTestKit(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "sizewright/cmd/sizewright").Output()
	if err != nil {
		t.Fatal(err)
	}
	packages := strings.Fields(string(out))
	for _, p := range packages {
		if strings.Contains(p, "/testkit") {
			t.Errorf("the program imports %s, which is for tests", p)
		}
	}
	if len(packages) < 50 {
		t.Errorf("go list names %d packages only", len(packages))
	}
}
