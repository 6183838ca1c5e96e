package studio

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
	"time"
)

// The test binary, started again with these set, plays another process.
const (
	childRole   = "SIZEWRIGHT_TEST_ROLE"
	childStudio = "SIZEWRIGHT_TEST_STUDIO"
)

func TestMain(m *testing.M) {
	switch os.Getenv(childRole) {
	case "":
		os.Exit(m.Run())
	case "lock":
		s := opener(os.Getenv(childStudio))
		_, err := s.Lock()
		fmt.Println(err)
	case "work":
		work(os.Getenv(childStudio))
	}
}

// work does what the daemon does, until it is killed.
func work(dir string) {
	s := opener(dir)
	must(s.Lock())
	must(s.Recover())
	fmt.Println("at work")
	for {
		names, err := s.tree.list("drop/A2")
		must(names, err)
		for _, name := range names {
			c, err := s.Claim("A2", name)
			must(c, err)
			photograph, err := os.ReadFile(c.OriginalPath())
			must(photograph, err)
			switch rand.IntN(4) {
			case 0:
				must(heldBack(c))
			case 1:
				must(c.Return())
			default:
				must(published(c, "marsh", string(photograph)))
			}
		}
	}
}

func must[T any](_ T, err error) {
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
}

// killed starts a worker, lets it work for a while and kills it with SIGKILL.
func killed(t *testing.T, dir string, after time.Duration) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childRole+"=work", childStudio+"="+dir)
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	out := bufio.NewReader(stdout)
	if line, err := out.ReadString('\n'); line != "at work\n" {
		t.Errorf("the worker said %q, %v", line, err)
	}
	time.Sleep(after) // the moment is meant to be any
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if rest, _ := io.ReadAll(out); len(rest) != 0 {
		t.Errorf("the worker said %s", rest)
	}
	cmd.Wait() // "signal: killed", as intended
}

func TestAProcessKilledAtAnyMomentLosesNothing(t *testing.T) {
	const kills, perKill = 20, 12
	dir := memoryDir(t) // the more changes a second, the more kills between two of them
	s := opener(initialised(t, dir))
	defer s.Close()
	var photographs []string
	for k := range kills {
		for range perKill {
			p := fmt.Sprint("salt marsh ", len(photographs))
			put(t, s, fmt.Sprintf("drop/A2/%03d.jpg", len(photographs)), p)
			photographs = append(photographs, p)
		}
		killed(t, dir, time.Duration(rand.IntN(40_000))*time.Microsecond)
		wholeOrAbsent(t, s, photographs...)
		if t.Failed() {
			t.Fatalf("after kill %d", k+1)
		}
	}
	s, die := started(t, dir)
	defer die()
	for _, r := range recovered(t, s) {
		t.Log(r.Text)
		if r.Kind == Left {
			t.Errorf("left: %s", r.Text)
		}
	}
	for _, p := range photographs {
		if at := places(t, s, p); len(at) != 1 {
			t.Errorf("%s is at %q", p, at)
		}
	}
	t.Logf("%d sets published of %d photographs", checkSets(t, s), len(photographs))
}

func initialised(t *testing.T, dir string) string {
	t.Helper()
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	return dir
}
