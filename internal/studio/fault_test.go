package studio

import (
	"errors"
	"os"
	"os/exec"
	"regexp"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"
)

// A fault of the machine comes at some change and goes again after the order
// has been given up. What it does to the change is the machine's, not the
// test's: begin takes away a permission, a directory, the handles; only a full
// disk is played.
type machineFault struct {
	begin, end func(t *testing.T, s *Studio)
	errnos     []unix.Errno // what may be told of it
}

// endure plays every story with the fault beginning at every change of it.
func endure(t *testing.T, f machineFault) {
	t.Helper()
	tries, met := 0, 0
	for _, story := range stories {
		for n, done := 1, false; !done; n++ {
			dir := scene(t)
			s, die := resumed(t, dir, false)
			seen := stoppedAt(s, n, func() { f.begin(t, s) })
			if err := playToTheEnd(s, story); err != nil {
				met++
				f.mayTell(t, err)
			}
			if done = *seen < n; !done {
				f.end(t, s)
			}
			wholeOrAbsent(t, s, thePhotograph)
			die()
			settled(t, dir, false)
			os.RemoveAll(dir)
			if t.Failed() {
				t.Fatalf("beginning at change %d it did this", n)
			}
			tries++
		}
	}
	if met == 0 {
		t.Error("the fault was never met")
	}
	t.Logf("%s: %d tries, met in %d, %d orders, 0 lost, 0 doubled", t.Name(), tries, met, tries)
}

// stoppedAt calls then once, at the nth change of a studio, whose directories
// are open by then: as if it fell asleep in the middle of it.
func stoppedAt(s *Studio, n int, then func()) *int {
	seen := new(int)
	s.tree.before = func(change) error {
		if *seen++; *seen == n {
			then()
		}
		return nil
	}
	return seen
}

// playToTheEnd is what the daemon does: an order that cannot be ended is given
// back, if that can be done.
func playToTheEnd(s *Studio, story func(*Studio, *Claim) error) error {
	c, err := s.Claim("A2", "marsh.jpg")
	if err != nil {
		return err
	}
	if err = story(s, c); err != nil && !c.over {
		_, undo := c.Return()
		err = errors.Join(err, undo)
	}
	return err
}

func (f machineFault) mayTell(t *testing.T, err error) {
	t.Helper()
	for _, errno := range f.errnos {
		if errors.Is(err, errno) {
			return
		}
	}
	t.Errorf("told as %v", err)
}

func TestAFullDiskLosesNothing(t *testing.T) {
	full := false
	endure(t, machineFault{
		begin: func(t *testing.T, s *Studio) {
			full = true
			already := s.tree.before
			s.tree.before = func(c change) error {
				if full && (c.op == "create" || c.op == "write" || c.op == "mkdir") {
					return fault(c.from, "cannot write it", unix.ENOSPC)
				}
				return already(c)
			}
		},
		end:    func(*testing.T, *Studio) { full = false },
		errnos: []unix.Errno{unix.ENOSPC},
	})
}

func TestAnOutboxTakenAwayAndPutBackLosesNothing(t *testing.T) {
	move := func(t *testing.T, s *Studio, from, to string) {
		t.Helper()
		for _, dir := range []string{outboxDir, heldDir} {
			if err := os.Rename(s.abs(dir+from), s.abs(dir+to)); err != nil {
				t.Fatal(err)
			}
		}
	}
	endure(t, machineFault{
		begin:  func(t *testing.T, s *Studio) { move(t, s, "", ".away") },
		end:    func(t *testing.T, s *Studio) { move(t, s, ".away", "") },
		errnos: []unix.Errno{unix.ENOENT},
	})
}

func TestPermissionLostAndRegainedLosesNothing(t *testing.T) {
	if elsewhere(t, "unprivileged") {
		return
	}
	chmod := func(t *testing.T, s *Studio, mode os.FileMode) {
		t.Helper()
		for _, dir := range []string{outboxDir, outboxDir + "/A2", heldDir, heldDir + "/A2", originalsDir + "/A2"} {
			if err := os.Chmod(s.abs(dir), mode); err != nil && !errors.Is(err, os.ErrNotExist) {
				t.Fatal(err)
			}
		}
	}
	endure(t, machineFault{
		begin:  func(t *testing.T, s *Studio) { chmod(t, s, 0o555) },
		end:    func(t *testing.T, s *Studio) { chmod(t, s, 0o777) },
		errnos: []unix.Errno{unix.EACCES},
	})
}

func TestRunningOutOfFileHandlesLosesNothing(t *testing.T) {
	if elsewhere(t, "few files") {
		return
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_NOFILE, &syscall.Rlimit{Cur: 64, Max: 64}); err != nil {
		t.Fatal(err)
	}
	for _, spare := range []int{0, 1} {
		var hoard []*os.File
		endure(t, machineFault{
			begin: func(t *testing.T, _ *Studio) {
				for {
					f, err := os.Open(os.DevNull)
					if err != nil {
						break
					}
					hoard = append(hoard, f)
				}
				for range spare {
					hoard[0].Close()
					hoard = hoard[1:]
				}
			},
			end: func(*testing.T, *Studio) {
				for _, f := range hoard {
					f.Close()
				}
				hoard = nil
			},
			errnos: []unix.Errno{unix.EMFILE},
		})
	}
}

// elsewhere runs this test in a process of its own that plays a role, and tells
// so; in that process it tells no.
func elsewhere(t *testing.T, role string) bool {
	t.Helper()
	if os.Getenv(childRole) == role {
		return false
	}
	cmd := exec.Command(os.Args[0], "-test.v", "-test.run=^"+t.Name()+"$")
	cmd.Env = append(os.Environ(), childRole+"="+role)
	cmd.Dir = "/"
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	said := regexp.MustCompile(`(?m)Test.*: \d+ tries.*$`).FindAllString(string(out), -1)
	if len(said) == 0 {
		t.Errorf("it tried nothing:\n%s", out)
	}
	for _, line := range said {
		t.Log(line)
	}
	return true
}
