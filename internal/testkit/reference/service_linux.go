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

// Service is how a process stands under a systemd unit, for a machine where no systemd
// runs: the user, the capabilities, the user namespace, no_new_privs, the umask and the
// refusal to make memory executable, each as the unit's lines say. setpriv, unshare and
// PR_SET_MDWE of prctl(2) stand in for systemd.
//
// What that cannot show: that systemd reads the lines as they are read here; the
// namespaces of mounts, network and devices; the filter of system calls, which the
// tests of cmd/sizewright compare with a trace; the control group's limits; and that a
// kernel before 6.3, which has no PR_SET_MDWE, refuses such memory.
type Service struct {
	UID, GID     int // nobody's: the account of the unit's name need not be here
	lines        map[string]string
	capabilities string // as setpriv has them: "-all,+lease"
}

// ServiceOf reads a unit. It needs root, who alone can become another user: without, it
// fails the test in CI and skips it elsewhere.
func ServiceOf(t testing.TB, unit string) *Service {
	t.Helper()
	if os.Geteuid() != 0 {
		if os.Getenv("CI") != "" {
			t.Fatal("to be the service's user takes root in CI")
		}
		t.Skip("to be the service's user takes root")
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

// Powerless is the same service without any capability.
func (s *Service) Powerless() *Service {
	p := *s
	p.capabilities = "-all"
	return &p
}

// Command is a program as the service would run it.
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
		// It is kept over execve(2). An older kernel says EINVAL, and goes without.
		words = append(words, "perl", "-e", "syscall(shift, shift, 1, 0, 0, 0); exec @ARGV or die",
			strconv.Itoa(unix.SYS_PRCTL), strconv.Itoa(unix.PR_SET_MDWE))
	}
	if mask := s.lines["UMask"]; mask != "" {
		words = append(words, "sh", "-c", "umask "+mask+`; exec "$@"`, "sh")
	}
	words = append(append(words, name), args...)
	return exec.Command(words[0], words[1:]...)
}

// Public is a directory that every user may enter; that of testing.T is its own user's.
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

// Program is this test's own program, where every user may run it. Where coverage is
// measured, each may write down what it covered; it would complain of it otherwise.
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
