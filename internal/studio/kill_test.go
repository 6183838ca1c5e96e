package studio

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The test binary, started again with these set, plays another process.
const (
	childRole   = "SIZEWRIGHT_TEST_ROLE"
	childStudio = "SIZEWRIGHT_TEST_STUDIO"
)

func TestMain(m *testing.M) {
	dir := os.Getenv(childStudio)
	switch os.Getenv(childRole) {
	case "":
		os.Exit(m.Run())
	case "lock":
		s := opener(dir)
		_, err := s.Lock()
		fmt.Println(err)
	case "alone":
		s := opener(dir)
		must(s.Lock())
		work(s, time.Hour)
	case "sharing":
		s := opener(dir)
		must(s.Share())
		work(s, time.Hour)
	case "apart": // as if on machines between which no locks are passed
		s := opener(dir)
		s.deafToLocks, s.machine = true, fmt.Sprint(os.Getpid())
		must(s.Share())
		work(s, 30*time.Millisecond)
	case "looking":
		becomeNobody()
		workers, err := opener(dir).Workers()
		for _, w := range workers {
			fmt.Println(w.PID, "alive:", w.Alive)
		}
		fmt.Println(err)
	case "unprivileged":
		becomeNobody()
		os.Exit(m.Run())
	case "few files":
		os.Exit(m.Run())
	}
}

// becomeNobody gives up root's privileges, where they are.
func becomeNobody() {
	if os.Geteuid() == 0 {
		const nobody = 65534
		must(0, syscall.Setgroups(nil))
		must(0, syscall.Setgid(nobody))
		must(0, syscall.Setuid(nobody))
	}
}

// work does what the daemon does, until it is killed.
func work(s *Studio, lease time.Duration) {
	must(s.Recover())
	fmt.Println("at work")
	for {
		r, err := s.TakeOver(lease, time.Now())
		must(r, err)
		for _, r := range r {
			fmt.Println("took over:", r.Kind, r.Text)
		}
		names, err := s.tree.list("drop/A2")
		must(names, err)
		rand.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		for _, name := range names[:min(len(names), 5)] {
			must(0, s.Beat(name))
			err := takeOrder(s, name)
			if !errors.Is(err, ErrTakenOver) && !errors.Is(err, fs.ErrNotExist) {
				must(0, err)
			}
		}
		if len(names) == 0 {
			time.Sleep(time.Millisecond)
		}
	}
}

// takeOrder takes one photograph to some end.
func takeOrder(s *Studio, name string) error {
	c, err := s.Claim("A2", name)
	if err != nil {
		return err
	}
	photograph, err := os.ReadFile(c.OriginalPath())
	if err == nil {
		switch rand.IntN(4) {
		case 0:
			_, err = heldBack(c)
		case 1:
			_, err = c.Return()
		default:
			_, err = published(c, "marsh", string(photograph))
		}
	}
	if errors.Is(err, fs.ErrNotExist) && c.Ours() == nil && !c.over {
		return fmt.Errorf("a file of a claim that is ours is missing: %v", err)
	}
	return err
}

func must[T any](_ T, err error) {
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
}

// child is one process at work.
type child struct {
	cmd  *exec.Cmd
	said chan string // all that it said once at work, when it has ended
}

func born(t *testing.T, role, dir string) *child {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childRole+"="+role, childStudio+"="+dir)
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	c := &child{cmd, make(chan string, 1)}
	out := bufio.NewReader(stdout)
	if line, err := out.ReadString('\n'); line != "at work\n" {
		t.Errorf("the worker said %q, %v", line, err)
	}
	go func() {
		rest, _ := io.ReadAll(out)
		c.said <- string(rest)
	}()
	return c
}

// killed kills it with SIGKILL and gives how many claims it had taken over.
func (c *child) killed(t *testing.T) (tookOver int) {
	t.Helper()
	if err := c.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(<-c.said) {
		if strings.HasPrefix(line, "took over: left") || !strings.HasPrefix(line, "took over:") && strings.HasSuffix(line, "\n") {
			t.Errorf("the worker said %s", line)
		}
		tookOver++
	}
	c.cmd.Wait() // "signal: killed", as intended
	return tookOver
}

// tallied fails unless every photograph is in one place and made at most once,
// and gives the sentence for the log.
func tallied(t *testing.T, s *Studio, photographs []string) string {
	t.Helper()
	all := files(t, s.dir)
	places, made := map[string]int{}, map[string]int{}
	for rel, content := range all {
		places[content]++
		if strings.HasPrefix(rel, outboxDir) && strings.HasSuffix(rel, ".tif") {
			made[content]++
		}
	}
	lost, doubled := 0, 0
	for _, p := range photographs {
		switch {
		case places[p] == 0:
			lost++
		case places[p] > 1 || made[pretendPrint(".tif", p)] > 1:
			doubled++
		}
	}
	if sets, originals := checkSets(t, s), len(files(t, s.Originals())); sets != originals {
		t.Errorf("%d sets of prints for %d originals", sets, originals)
	}
	if lost != 0 || doubled != 0 {
		t.Errorf("%d photographs are lost and %d doubled", lost, doubled)
	}
	if left := claimsLeft(t, s); len(left) != 0 {
		t.Errorf("claims left: %v", left)
	}
	return fmt.Sprintf("%d orders, %d lost, %d doubled", len(photographs), lost, doubled)
}

func TestAProcessKilledAtAnyMomentLosesNothing(t *testing.T) {
	for _, way := range []struct {
		name, role string
		workers    int
		kills      int
	}{
		{"one alone", "alone", 1, 50},
		{"two sharing", "sharing", 2, 50},
		{"four sharing", "sharing", 4, 50},
		{"four sharing, none seeing the others' locks, one always suspended", "apart", 4, 50},
	} {
		t.Run(way.name, func(t *testing.T) {
			const perKill = 12
			dir := initialised(t, memoryDir(t)) // the more changes a second, the more kills between two of them
			s := opener(dir)
			defer s.Close()
			var photographs []string
			more := func() {
				for range perKill {
					p := fmt.Sprint("salt marsh ", len(photographs))
					// As files should arrive, and these are not watched: whole.
					put(t, s, ".arriving", p)
					if err := os.Rename(s.abs(".arriving"), s.abs(fmt.Sprintf("drop/A2/%04d.jpg", len(photographs)))); err != nil {
						t.Fatal(err)
					}
					photographs = append(photographs, p)
				}
			}
			var atWork []*child
			hire := func() { atWork = append(atWork, born(t, way.role, dir)) }
			tookOver := 0
			fire := func(n int) {
				tookOver += atWork[n].killed(t)
				atWork = append(atWork[:n], atWork[n+1:]...)
			}
			more()
			for range way.workers {
				hire()
			}
			for k := range way.kills {
				more()
				var sleeper *child
				if way.role == "apart" {
					sleeper = atWork[rand.IntN(len(atWork))]
					sleeper.cmd.Process.Signal(syscall.SIGSTOP)
				}
				time.Sleep(time.Duration(rand.IntN(15_000)) * time.Microsecond) // the moment is meant to be any
				if sleeper != nil {
					time.Sleep(60 * time.Millisecond) // past its lease, mostly
					sleeper.cmd.Process.Signal(syscall.SIGCONT)
				}
				fire(rand.IntN(len(atWork)))
				hire()
				wholeOrAbsent(t, s, photographs...)
				if t.Failed() {
					t.Errorf("after kill %d", k+1)
					break
				}
			}
			for len(atWork) > 0 {
				fire(0)
			}
			last, die := started(t, dir)
			defer die()
			for _, r := range recovered(t, last) {
				if r.Kind == Left {
					t.Errorf("left: %s", r.Text)
				}
			}
			t.Logf("%s: %d kills, %s; %d claims taken over", way.name, way.kills+way.workers, tallied(t, last, photographs), tookOver)
		})
	}
}

func initialised(t testing.TB, dir string) string {
	t.Helper()
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	return dir
}
