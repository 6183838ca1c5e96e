package reference

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// Service runs processes as a systemd unit would, on a machine without systemd: with the
// user, the capabilities, the user namespace, no_new_privs, the umask and the refusal of
// executable memory that the unit's lines give. setpriv, unshare and PR_SET_MDWE of prctl(2)
// stand in for systemd.
//
// It cannot show that systemd reads the lines in the same way; the namespaces of mounts,
// network and devices; the filter of system calls, which the tests of cmd/sizewright compare
// with a trace; the control group's limits; and, on a kernel before 6.3, which has no
// PR_SET_MDWE, the refusal of executable memory.
type Service struct {
	UID, GID     int // those of nobody, because the unit's account need not exist here
	lines        map[string]string
	capabilities string // in setpriv's form: "-all,+lease"
}

// ServiceOf reads a unit. It needs root to become another user. Without root it fails the
// test in CI and skips it elsewhere.
func ServiceOf(t testing.TB, unit string) *Service {
	t.Helper()
	if os.Geteuid() != 0 {
		if os.Getenv("CI") != "" {
			t.Fatal("this test needs root in CI, to become the service's user")
		}
		t.Skip("this test needs root, to become the service's user")
	}
	text, err := os.ReadFile(unit)
	if err != nil {
		t.Fatal(err)
	}
	s := &Service{UID: 61_234, GID: 61_234, lines: map[string]string{}}
	for line := range strings.Lines(string(text)) {
		if key, value, is := strings.Cut(strings.TrimSpace(line), "="); is && !strings.HasPrefix(key, "#") {
			s.lines[key] = value
		}
	}
	ambient, bounding := s.lines["AmbientCapabilities"], s.lines["CapabilityBoundingSet"]
	if ambient != bounding {
		t.Fatalf("the unit's ambient capabilities are %q, its bounding set %q", ambient, bounding)
	}
	s.capabilities = "-all"
	for _, c := range strings.Fields(ambient) {
		s.capabilities += ",+" + strings.ToLower(strings.TrimPrefix(c, "CAP_"))
	}
	return s
}

// Powerless returns the same service without any capability.
func (s *Service) Powerless() *Service {
	p := *s
	p.capabilities = "-all"
	return &p
}

// Command returns a command that runs a program as the service would.
func (s *Service) Command(name string, args ...string) *exec.Cmd {
	words := []string{"setpriv", "--reuid", strconv.Itoa(s.UID), "--regid", strconv.Itoa(s.GID), "--clear-groups",
		"--inh-caps", s.capabilities, "--ambient-caps", s.capabilities, "--bounding-set", s.capabilities}
	if s.lines["NoNewPrivileges"] == "yes" {
		words = append(words, "--no-new-privs")
	}
	if s.lines["PrivateUsers"] == "yes" {
		words = append(words, "unshare", "--user", "--map-current-user")
	}
	if s.lines["MemoryDenyWriteExecute"] == "yes" {
		// The setting is kept across execve(2). An older kernel returns EINVAL and has no such setting.
		words = append(words, "perl", "-e", "syscall(shift, shift, 1, 0, 0, 0); exec @ARGV or die",
			strconv.Itoa(unix.SYS_PRCTL), strconv.Itoa(unix.PR_SET_MDWE))
	}
	if mask := s.lines["UMask"]; mask != "" {
		words = append(words, "sh", "-c", "umask "+mask+`; exec "$@"`, "sh")
	}
	words = append(append(words, name), args...)
	return exec.Command(words[0], words[1:]...)
}

// Public returns a directory that every user may enter; only its own user may enter that of testing.T.
func Public(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "public")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Program returns this test's own program, in a place where every user may run it. If
// coverage is measured, every user may write coverage data; otherwise the program complains.
func Program(t testing.TB) string {
	t.Helper()
	if testing.CoverMode() != "" {
		covered := Public(t)
		if err := os.Chmod(covered, 0o777); err != nil {
			t.Fatal(err)
		}
		t.Setenv("GOCOVERDIR", covered)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(Public(t), "program")
	if out, err := exec.Command("cp", self, to).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if err := os.Chmod(to, 0o755); err != nil {
		t.Fatal(err)
	}
	return to
}
