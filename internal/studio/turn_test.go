package studio

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"testing"
)

func filesIn(t testing.TB, s *Studio, rel string) int {
	t.Helper()
	names, err := s.tree.list(rel)
	if err != nil {
		t.Fatal(err)
	}
	return len(names)
}

func TestATurnIsOneProcesssAtATime(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	var holding, most, turns atomic.Int32
	var wg sync.WaitGroup
	for range 4 {
		s := sharing(t, dir) // flock tells apart open files, not processes
		for range 3 {
			wg.Go(func() {
				for range 5 {
					giveUp, err := s.Turn(t.Context(), "sha256 of a picture\x00A2")
					if err != nil {
						t.Error(err)
						return
					}
					if n := holding.Add(1); n > most.Load() {
						most.Store(n)
					}
					turns.Add(1)
					holding.Add(-1)
					giveUp()
					giveUp() // does nothing
				}
			})
		}
	}
	wg.Wait()
	if most.Load() != 1 || turns.Load() != 4*3*5 {
		t.Errorf("%d turns, up to %d at a time", turns.Load(), most.Load())
	}
	if n := filesIn(t, sharing(t, dir), turnsDir); n != 0 {
		t.Errorf("%d files left", n)
	}
}

func TestTurnsOfDifferentKeysDoNotWait(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	one, two := sharing(t, dir), sharing(t, dir)
	giveUp, err := one.Turn(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	other, err := two.Turn(t.Context(), "b")
	if err != nil {
		t.Fatal(err)
	}
	other()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := two.Turn(ctx, "a"); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	giveUp()
}

func TestTurnsOfTheDeadAreSweptAndThoseOfTheLivingStay(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s := sharing(t, dir)
	for n := range 10 { // as a process that was killed leaves them
		put(t, s, fmt.Sprint(turnsDir, "/", n), "")
	}
	giveUp, err := s.Turn(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	defer giveUp()
	recovered(t, sharing(t, dir))
	if n := filesIn(t, s, turnsDir); n != 1 {
		t.Errorf("%d files, want the one turn being held", n)
	}
}

func TestTwoProcessesNeverDecideOnOneName(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	const processes = 6
	var wg sync.WaitGroup
	for n := range processes {
		s := sharing(t, dir)
		photograph := fmt.Sprint("marsh ", n)
		c := dropped(t, s, "A2", fmt.Sprintf("marsh.jp%d", n), photograph)
		wg.Go(func() {
			out, err := published(c, "marsh", photograph)
			if err != nil || len(out.Renamed) != 0 {
				t.Errorf("%+v, %v", out, err)
			}
		})
	}
	wg.Wait()
	s := sharing(t, dir)
	if sets := checkSets(t, s); sets != processes {
		t.Errorf("%d sets of %d", sets, processes)
	}
}

func TestASuspendedDeciderHoldsNobodyUpForEver(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	asleep, s := sharing(t, dir), sharing(t, dir)
	defer asleep.decideAlone()()
	s.patience = 0
	c := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	if out, err := published(c, "marsh", thePhotograph); err != nil || out.Original != "originals/A2/marsh.jpg" {
		t.Errorf("%+v, %v", out, err)
	}
}

func TestSharersWriteOnePageAtOnce(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	var wg sync.WaitGroup
	for n := range 4 {
		s := sharing(t, dir)
		page := pretendPrint("page", fmt.Sprint(n))
		wg.Go(func() {
			for range 25 {
				if err := s.WriteFile("outbox/morning/latest.html", []byte(page)); err != nil {
					t.Error(err)
				}
				if got, err := os.ReadFile(s.abs("outbox/morning/latest.html")); err != nil || len(got) != len(page) {
					t.Errorf("a page of %d bytes, %v", len(got), err)
				}
			}
		})
	}
	wg.Wait()
	if n := filesIn(t, sharing(t, dir), tempDir); n != 0 {
		t.Errorf("%d files left", n)
	}
}
