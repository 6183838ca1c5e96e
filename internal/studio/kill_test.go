package studio

import (
	"bufio"
	"fmt"
	"io"
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
	case "at work":
		s := opener(dir)
		must(s.Lock())
		work(s)
	case "looking":
		becomeNobody()
		at, err := opener(dir).AtWork()
		must(at, err)
		fmt.Println(at.PID, string(at.Status))
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
func work(s *Studio) {
	all, err := s.Recover()
	must(all, err)
	fmt.Println("at work")
	for _, r := range all {
		fmt.Println("recovered:", r.Kind, r.Text)
	}
	for {
		names, err := s.tree.list("drop/A2")
		must(names, err)
		rand.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		for _, name := range names[:min(len(names), 5)] {
			must(0, s.Tell(name))
			must(0, takeOrder(s, name))
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
		t.Errorf("the process said %q, %v", line, err)
	}
	go func() {
		rest, _ := io.ReadAll(out)
		c.said <- string(rest)
	}()
	return c
}

// killed kills it with SIGKILL and gives how many claims it had recovered.
func (c *child) killed(t *testing.T) (recovered int) {
	t.Helper()
	if err := c.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(<-c.said) {
		if strings.HasPrefix(line, "recovered: left") || !strings.HasPrefix(line, "recovered:") && strings.HasSuffix(line, "\n") {
			t.Errorf("the process said %s", line)
		}
		recovered++
	}
	c.cmd.Wait() // "signal: killed", as intended
	return recovered
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
	const kills, perKill = 50, 12
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
	inHand := 0
	for k := range kills {
		more()
		c := born(t, "at work", dir)
		time.Sleep(time.Duration(rand.IntN(15_000)) * time.Microsecond) // the moment is meant to be any
		inHand += c.killed(t)
		wholeOrAbsent(t, s, photographs...)
		if t.Failed() {
			t.Fatalf("after kill %d", k+1)
		}
	}
	last, die := started(t, dir)
	defer die()
	for _, r := range recovered(t, last) {
		if r.Kind == Left {
			t.Errorf("left: %s", r.Text)
		}
	}
	t.Logf("%d kills, %s; %d claims recovered", kills, tallied(t, last, photographs), inHand)
}

func initialised(t testing.TB, dir string) string {
	t.Helper()
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	return dir
}
