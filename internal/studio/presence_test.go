package studio

import (
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

func atWork(t testing.TB, s *Studio) *Process {
	t.Helper()
	p, err := s.AtWork()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestWhoIsAtWorkTellsWhatItDoes(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	asks := opener(dir) // and is not at work
	defer asks.Close()
	if p := atWork(t, asks); p != nil {
		t.Errorf("nobody is at work, and there is %+v", p)
	}
	if err := asks.Tell(nil); err == nil {
		t.Error("one that is not at work says what it does")
	}
	s, stop := started(t, dir)
	for n := range 3 {
		if err := s.Tell(map[string]int{"rows": n}); err != nil {
			t.Fatal(err)
		}
		p := atWork(t, asks)
		if p == nil || p.PID != os.Getpid() || string(p.Status) != fmt.Sprintf(`{"rows":%d}`, n) {
			t.Fatalf("%+v", p)
		}
		if since := time.Since(p.Started); since < 0 || since > time.Hour {
			t.Errorf("at work for %v", since)
		}
	}
	if left, _ := os.ReadDir(s.abs(tempDir)); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
	stop()
	if p := atWork(t, asks); p != nil {
		t.Errorf("it has stopped, and there is %+v", p)
	}
}

// What a killed process said of itself stays, and must not be believed.
func TestOneThatWasKilledIsNotAtWork(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	c := born(t, "at work", dir)
	s := opener(dir)
	defer s.Close()
	if p := atWork(t, s); p == nil || p.PID != c.cmd.Process.Pid {
		t.Errorf("at work is %+v", p)
	}
	c.killed(t)
	get(t, s, statusName)
	if p := atWork(t, s); p != nil {
		t.Errorf("it was killed, and there is %+v", p)
	}
	// The next one is not taken for it before it has said anything.
	lock, err := s.openLock(os.O_RDWR)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.takeLock(lock); err != nil {
		t.Fatal(err)
	}
	defer lock.Close()
	if p := atWork(t, s); p == nil || p.PID != os.Getpid() || p.Status != nil || time.Since(p.Started) > time.Minute {
		t.Errorf("at work is %+v", p)
	}
}

// A share need not pass locks on: then what a process on another machine says is all
// there is to go by.
func TestOneOfAnotherMachineIsAtWorkAsLongAsItSaysSo(t *testing.T) {
	s := opener(initialised(t, memoryDir(t)))
	defer s.Close()
	put(t, s, lockName, "")
	put(t, s, statusName, `{"pid":4242,"host":"printroom","machine":"another boot","started":"2026-03-14T06:12:00Z"}`)
	if p := atWork(t, s); p == nil || p.Host != "printroom" {
		t.Errorf("at work is %+v", p)
	}
	// Of one that could not tell its machine the lock says enough.
	put(t, s, statusName, `{"pid":4242,"host":"printroom","started":"2026-03-14T06:12:00Z"}`)
	if p := atWork(t, s); p != nil {
		t.Errorf("its lock is free, and at work is %+v", p)
	}
}

// Who only asks holds the lock for a moment, and must not keep a daemon from starting.
func TestAskingWhoIsAtWorkKeepsNobodyOut(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	asks := opener(dir)
	defer asks.Close()
	put(t, asks, lockName, "")
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range 300 {
			if _, err := asks.AtWork(); err != nil {
				t.Error(err)
			}
		}
	}()
	for range 20 {
		_, stop := started(t, dir) // fails the test if it is refused
		stop()
	}
	<-done
}

func TestAFullDiskAtTheStartLetsGoOfTheStudio(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s := opener(dir)
	defer s.Close()
	full := errors.New("no room")
	s.tree.before = func(change) error { return full }
	if _, err := s.Lock(); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
	s.tree.before = nil
	unlock, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	unlock()
}

// While a package is upgraded the daemon of the version before still works, and it may
// share the lock.
func TestASharingDaemonOfAnEarlierVersionIsAtWork(t *testing.T) {
	s := opener(initialised(t, memoryDir(t)))
	defer s.Close()
	put(t, s, lockName, "")
	put(t, s, earlierWorkers+"/printroom-4242-89abcdef.json", "{}")
	if p := atWork(t, s); p != nil {
		t.Errorf("it was killed, and there is %+v", p)
	}
	lock, err := s.openLock(os.O_RDWR)
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Close()
	if err := unix.Flock(int(lock.Fd()), unix.LOCK_SH); err != nil {
		t.Fatal(err)
	}
	if p := atWork(t, s); p == nil || p.PID != 0 {
		t.Errorf("at work is %+v", p)
	}
	if _, err := s.Lock(); !errors.Is(err, ErrLocked) {
		t.Errorf("beside it: %v", err)
	}
}
