package intake

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"

	"sizewright/internal/testkit/reference"
)

// asking is a file about which a process of these tests asks the kernel.
const asking = "INTAKE_TEST_ASKS"

func TestMain(m *testing.M) {
	if path := os.Getenv(asking); path != "" {
		fmt.Print(WritersOf(path))
		return
	}
	os.Exit(m.Run())
}

// asks is what the service's process is told of a file.
func asks(t *testing.T, s *reference.Service, program, path string) string {
	t.Helper()
	cmd := s.Command(program)
	cmd.Env = append(os.Environ(), asking+"="+path)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return string(out)
}

// The kernel answers the service as its unit has it, of a file of another user; without
// the capability it does not, nor in a user namespace of the service's own.
func TestTheServiceIsToldWhoWritesToAnothersFile(t *testing.T) {
	const unit = "../../systemd/sizewright@.service"
	service, program := reference.ServiceOf(t, unit), reference.Program(t)
	text, err := os.ReadFile(unit)
	if err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(t.TempDir(), "own.service")
	if err := os.WriteFile(own, []byte(strings.Replace(string(text), "PrivateUsers=no", "PrivateUsers=yes", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(reference.Public(t), "marsh.jpg")
	if err := os.WriteFile(path, []byte(whole()), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(path, 61_300, 61_300); err != nil {
		t.Fatal(err)
	}
	says := func(when string, who *reference.Service, want Writers) {
		t.Helper()
		if got := asks(t, who, program, path); got != fmt.Sprint(want) {
			t.Errorf("%s: %s, want %v", when, got, want)
		}
	}
	says("closed", service, Nobody)
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	says("open", service, Somebody)
	says("open, without the capability", service.Powerless(), Unknown)
	says("open, in a user namespace of its own", reference.ServiceOf(t, own), Unknown)
	m, err := unix.Mmap(int(f.Fd()), 0, 4096, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	says("closed, and mapped to be written", service, Somebody)
	if err := unix.Munmap(m); err != nil {
		t.Fatal(err)
	}
	says("closed again", service, Nobody)
	says("closed, without the capability", service.Powerless(), Unknown)
}
