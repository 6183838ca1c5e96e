package capability

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"sizewright/internal/testkit/reference"
)

const unitFile = "../../systemd/sizewright@.service"

// as names what a process of these tests is to do.
const as = "CAPABILITY_TEST_AS"

// quickly keeps a process built with the race detector from waiting a second before it
// exits.
const quickly = "GORACE=atexit_sleep_ms=0"

func TestMain(m *testing.M) {
	switch os.Getenv(as) {
	case "":
		os.Exit(m.Run())
	case "look":
		fmt.Print(sets())
	case "start without more ado", "start":
		for range 5 { // from any thread
			c := exec.Command("/proc/self/exe")
			c.Env, c.Stderr = []string{as + "=look", quickly, "GOCOVERDIR=" + os.Getenv("GOCOVERDIR")}, os.Stderr
			said := &strings.Builder{}
			c.Stdout = said
			run := Run
			if os.Getenv(as) != "start" {
				run = (*exec.Cmd).Run
			}
			if err := run(c); err != nil {
				fmt.Println(err)
			}
			fmt.Print(said)
		}
		fmt.Print(sets())
	case "renounce":
		if err := DropAll(); err != nil {
			fmt.Println(err)
		}
		seen := make(chan string)
		for range 20 {
			go func() {
				runtime.LockOSThread() // each on a thread of its own
				seen <- sets()
			}()
			fmt.Print(<-seen)
		}
	}
}

var capLine = regexp.MustCompile(`(?m)^(?:Cap(Inh|Prm|Eff|Bnd|Amb)|NoNew(Privs)):\s*([0-9a-f]+)$`)

// sets returns the capabilities of the calling thread, by proc_pid_status(5), in one line.
func sets() string {
	status, _ := os.ReadFile("/proc/thread-self/status")
	var all []string
	for _, m := range capLine.FindAllStringSubmatch(string(status), -1) {
		all = append(all, m[1]+m[2]+" "+strings.TrimLeft(m[3][:len(m[3])-1], "0")+m[3][len(m[3])-1:])
	}
	return strings.Join(all, " ") + "\n"
}

// does runs a process and returns the distinct lines that it prints.
func does(t *testing.T, s *reference.Service, program, what string) string {
	t.Helper()
	cmd := s.Command(program)
	cmd.Env = append(os.Environ(), as+"="+what, quickly)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	var lines []string
	for line := range strings.Lines(string(out)) {
		if n := len(lines); n == 0 || lines[n-1] != line {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "")
}

// CAP_LEASE is bit 28 of the sets: linux/capability.h.
const (
	lease     = "Inh 10000000 Prm 10000000 Eff 10000000 Bnd 10000000 Amb 10000000 Privs 1\n"
	withheld  = "Inh 0 Prm 0 Eff 0 Bnd 10000000 Amb 0 Privs 1\n"
	renounced = withheld
)

// The service has one capability, and its children have none.
func TestWhatTheServiceStartsInheritsNothing(t *testing.T) {
	service, program := reference.ServiceOf(t, unitFile), reference.Program(t)
	if got := does(t, service, program, "look"); got != lease {
		t.Fatalf("the service has %swant %s", got, lease)
	}
	if got := does(t, service, program, "start without more ado"); got != lease {
		t.Errorf("without ClearInheritable it inherits %swant %s: then this test shows nothing", got, lease)
	}
	got := does(t, service, program, "start")
	first, own, _ := strings.Cut(got, "\n")
	if first+"\n" != withheld {
		t.Errorf("inherits %s\nwant %s", first, withheld)
	}
	if !strings.Contains(own, "Prm 10000000 Eff 10000000 ") {
		t.Errorf("the service itself is left with %s", own)
	}
}

func TestWhoRenouncesHasNothingOnAnyThread(t *testing.T) {
	service, program := reference.ServiceOf(t, unitFile), reference.Program(t)
	got := does(t, service, program, "renounce")
	if strings.HasPrefix(got, ErrThreads.Error()) && underRace {
		return
	}
	if got != renounced {
		t.Errorf("has %swant %s", got, renounced)
	}
	cmd := exec.Command(program) // root, as somebody who tries the program may be
	cmd.Env = append(os.Environ(), as+"=renounce", quickly)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	if got := string(out); strings.Trim(strings.ReplaceAll(got, "Inh 0 Prm 0 Eff 0 Bnd 0 Amb 0 Privs 1", ""), "\n") != "" {
		t.Errorf("root has %s", got)
	}
}

func TestAProgramThatIsNotThereIsAnErrorAsEver(t *testing.T) {
	if err := Run(exec.Command("/nothing")); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}
