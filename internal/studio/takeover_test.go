package studio

import (
	"errors"
	"io/fs"
	"os"
	"testing"
	"time"
)

// sharer is a worker at a shared studio on a machine of its own, from where no
// locks are seen; it is known to nobody, as one whose beat is never seen.
func sharer(t *testing.T, dir string, linkOnly bool) (s *Studio, die func()) {
	t.Helper()
	s, die = resumed(t, dir, linkOnly)
	s.shared.Store(true)
	s.deafToLocks = true
	s.patience = 0
	return s, die
}

// survive looks at the others until a lease has passed without a beat.
func survive(s *Studio) (all []Recovered, err error) {
	const lease = time.Minute
	now := time.Now()
	for look := range 3 {
		r, fault := s.TakeOver(lease, now.Add(time.Duration(look)*lease/2))
		all, err = append(all, r...), errors.Join(err, fault)
	}
	return all, err
}

// sparsely is every how many changes of a second worker a test stops it: more
// often on the usual kind of file system, to keep the tests quick.
func sparsely(step int, linkOnly bool) int {
	if linkOnly {
		return 3*step - 1
	}
	return step
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

// endings counts who said of the photograph that it has come to its end.
func endings(slept error, survivors ...Recovered) (n int) {
	if slept == nil {
		n++
	}
	for _, r := range survivors {
		if r.Kind == Published || r.Kind == Held || r.Kind == Returned {
			n++
		}
	}
	return n
}

// agreed fails unless exactly one reported an end there has been, and a sleeper
// that did not was told why.
func agreed(t *testing.T, s *Studio, slept error, survivors []Recovered) {
	t.Helper()
	at := places(t, s, thePhotograph)
	n := endings(slept, survivors...)
	if ended := len(at) == 1 && at[0] != "drop/A2/marsh.jpg"; n > 1 || n == 0 && ended {
		t.Errorf("at %q, and %d have reported: the sleeper %v, the survivors %+v", at, n, slept, survivors)
	}
	if slept != nil && !errors.Is(slept, ErrTakenOver) && !errors.Is(slept, fs.ErrNotExist) {
		t.Errorf("the sleeper was told %v", slept)
	}
	for _, r := range survivors {
		if r.Kind == Left {
			t.Error(r.Text)
		}
	}
}

func TestASleeperFindsItsClaimGoneWhereverItFellAsleep(t *testing.T) {
	eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
		n := 1
		for done := false; !done; n++ {
			dir := scene(t)
			sleeper, dieS := sharer(t, dir, linkOnly)
			survivor, dieT := sharer(t, dir, linkOnly)
			var r []Recovered
			var err error
			seen := stoppedAt(sleeper, n, func() { r, err = survive(survivor) })
			slept := play(sleeper, story)
			if err != nil {
				t.Errorf("the survivor met %v", err)
			}
			wholeOrAbsent(t, sleeper, thePhotograph)
			agreed(t, sleeper, slept, r)
			done = *seen < n
			dieS()
			dieT()
			settled(t, dir, linkOnly)
			os.RemoveAll(dir)
			if t.Failed() {
				t.Fatalf("asleep at change %d did this", n)
			}
		}
		t.Logf("%d places to fall asleep", n-1)
	})
}

func TestASleeperBetweenTwoStepsFindsItsClaimGone(t *testing.T) {
	eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
		n := 1
		for done := false; !done; n++ {
			dir := scene(t)
			sleeper, dieS := sharer(t, dir, linkOnly)
			survivor, dieT := sharer(t, dir, linkOnly)
			var r []Recovered
			seen := 0
			sleeper.tree.opening = func(string) { // before the path is followed
				if seen++; seen == n {
					r, _ = survive(survivor)
				}
			}
			slept := play(sleeper, story)
			agreed(t, sleeper, slept, r)
			done = seen < n
			dieS()
			dieT()
			settled(t, dir, linkOnly)
			os.RemoveAll(dir)
			if t.Failed() {
				t.Fatalf("asleep before path %d did this", n)
			}
		}
		t.Logf("%d places to fall asleep", n-1)
	})
}

// together has one worker fall asleep at its nth change and another, that
// survives it, stop at its mth for the sleeper to wake and run to its end. Then
// the survivor goes on, or dies. It tells how far either came.
type together struct {
	sleeper, survivor *Studio
	n, m              int
	dies              bool

	asleep, stopped bool
	slept           error
	survived        []Recovered
}

func (g *together) run(sleeper func() error) {
	half, woke, all := make(chan bool), make(chan bool), make(chan []Recovered, 1)
	seen := 0
	g.survivor.tree.before = func(change) error {
		if seen++; seen == g.m {
			g.stopped = true
			half <- true
			<-woke
		}
		if seen >= g.m && g.dies {
			return errCrash
		}
		return nil
	}
	changes := stoppedAt(g.sleeper, g.n, func() {
		go func() {
			r, _ := survive(g.survivor)
			all <- r
			close(half)
		}()
		<-half
	})
	g.slept = sleeper()
	close(woke)
	if g.asleep = *changes >= g.n; g.asleep {
		g.survived = <-all
	}
}

func TestASleeperThatWakesInTheMiddleOfATakeoverDoesNoHarm(t *testing.T) {
	eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
		pairs := 0
		for n, asleep := 1, true; asleep; n++ {
			step := sparsely(5, linkOnly)
			for m, stopped := 1+n%step, true; stopped; m += step {
				for _, dies := range []bool{false, true} {
					dir := scene(t)
					sleeper, dieS := sharer(t, dir, linkOnly)
					survivor, dieT := sharer(t, dir, linkOnly)
					g := together{sleeper: sleeper, survivor: survivor, n: n, m: m, dies: dies}
					g.run(func() error { return play(sleeper, story) })
					if g.asleep && !dies {
						agreed(t, sleeper, g.slept, g.survived)
					}
					asleep, stopped = g.asleep, g.asleep && g.stopped
					dieS()
					dieT()
					settled(t, dir, linkOnly)
					os.RemoveAll(dir)
					if t.Failed() {
						t.Fatalf("asleep at change %d, awake at change %d of the takeover (which died: %v) did this", n, m, dies)
					}
					pairs++
				}
			}
		}
		t.Logf("%d pairs of places", pairs)
	})
}

// Names taken after the decision have the journal rewritten, and two workers
// may come to do that at once.
func TestAJournalRewrittenWhileTakenOverIsWhole(t *testing.T) {
	pairs := 0
	for n, asleep := 1, true; asleep; n++ {
		for m, stopped := 1+n%4, true; stopped; m += 4 {
			dir := scene(t)
			first, die := sharer(t, dir, false)
			first.tree.before = func(c change) error {
				if c.to == "originals/A2/marsh-2.jpg" { // decided, and no further
					return errCrash
				}
				return nil
			}
			play(first, stories["published"])
			die()
			for _, taken := range []string{"originals/A2/marsh-2.jpg", "outbox/A2/marsh.tif", "outbox/A2/marsh.json"} {
				put(t, first, taken, theirPhotograph)
			}
			second, die2 := sharer(t, dir, false)
			third, die3 := sharer(t, dir, false)
			g := together{sleeper: second, survivor: third, n: n, m: m, dies: true}
			g.run(func() error { _, err := survive(second); return err })
			asleep, stopped = g.asleep, g.asleep && g.stopped
			die2()
			die3()
			last := opened(t, dir)
			for _, r := range recovered(t, last) {
				if r.Kind == Left {
					t.Error(r.Text)
				}
			}
			wantPlaces(t, last, thePhotograph, "originals/A2/marsh-2-2.jpg")
			wantPlaces(t, last, pretendPrint(".tif", thePhotograph), "outbox/A2/marsh-2.tif")
			wantPlaces(t, last, pretendPrint(".preview.jpg", thePhotograph), "outbox/A2/marsh.preview.jpg")
			if left := claimsLeft(t, last); len(left) != 0 {
				t.Errorf("claims left: %v", left)
			}
			os.RemoveAll(dir)
			if t.Failed() {
				t.Fatalf("asleep at change %d, awake at change %d of the takeover did this", n, m)
			}
			pairs++
		}
	}
	t.Logf("%d pairs of places", pairs)
}

// A survivor may die or fall asleep in its turn, and a third sees to both.
func TestASurvivorIsSurvivedInItsTurn(t *testing.T) {
	for what, fall := range map[string]func(second *Studio, m int, third func()) *int{
		"killed": func(second *Studio, m int, _ func()) *int { return crashAfter(second, m) },
		"asleep": func(second *Studio, m int, third func()) *int { return stoppedAt(second, m, third) },
	} {
		t.Run(what, func(t *testing.T) {
			eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
				pairs := 0
				for n, asleep := 1, true; asleep; n++ {
					step := sparsely(7, linkOnly)
					for m, fell := 1+n%step, true; fell; m += step {
						dir := scene(t)
						first, die1 := sharer(t, dir, linkOnly)
						second, die2 := sharer(t, dir, linkOnly)
						third, die3 := sharer(t, dir, linkOnly)
						seen2 := fall(second, m, func() { survive(third) })
						seen := stoppedAt(first, n, func() {
							survive(second)
							survive(third)
						})
						play(first, story)
						wholeOrAbsent(t, first, thePhotograph)
						asleep, fell = *seen >= n, *seen2 > m
						die1()
						die2()
						die3()
						settled(t, dir, linkOnly)
						os.RemoveAll(dir)
						if t.Failed() {
							t.Fatalf("asleep at change %d, the survivor %s at its change %d did this", n, what, m)
						}
						pairs++
					}
				}
				t.Logf("%d pairs of places", pairs)
			})
		})
	}
}

func TestOnlyTheDeadAreTakenOver(t *testing.T) {
	dir := memoryDir(t)
	alive := sharing(t, initialised(t, dir))
	dropped(t, alive, "A2", "marsh.jpg", thePhotograph)
	beats := sharing(t, dir)
	dropped(t, beats, "A2", "second.jpg", "second")
	other := sharing(t, dir)
	const lease = time.Minute
	now := time.Now()
	look := func() []Recovered {
		t.Helper()
		now = now.Add(lease / 2)
		r, err := other.TakeOver(lease, now)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for range 10 { // locked: alive, however silent
		if r := look(); len(r) != 0 {
			t.Fatalf("a worker that lives was taken over: %+v", r)
		}
	}
	other.deafToLocks, other.machine = true, "another"
	now = now.Add(24 * time.Hour) // this machine slept; that is no silence of theirs
	other.watch.looks = nil
	for range 2 {
		if r := look(); len(r) != 0 {
			t.Fatalf("taken over before the lease was up: %+v", r)
		}
		if err := beats.Beat(nil); err != nil {
			t.Fatal(err)
		}
	}
	r := look()
	if len(r) != 1 || r[0].Name != "marsh.jpg" || r[0].Kind != Returned {
		t.Errorf("after a lease of silence: %+v", r)
	}
	if n := len(claimsLeft(t, alive)); n != 1 {
		t.Errorf("%d claims are left, want that of the worker whose heart beats", n)
	}
	// The sleeper wakes, and is known again.
	if err := alive.Beat(nil); err != nil {
		t.Fatal(err)
	}
	if is, err := other.readWorker(alive.self.Load().id); !err || is.Beat != 1 {
		t.Errorf("after its next beat it is known as %+v, %v", is, err)
	}
	if held, err := beats.guarded(alive.self.Load().id); err != nil || !held {
		t.Errorf("its lock is held: %v, %v", held, err)
	}
}

func TestAClockSetBackTakesNobodyOver(t *testing.T) {
	var w watch
	now := time.Date(2026, 3, 29, 3, 0, 0, 0, time.UTC)
	w.stillFor("a", "1", time.Minute, now)
	for _, step := range []time.Duration{-time.Hour, -48 * time.Hour, -time.Second} {
		now = now.Add(step)
		if still := w.stillFor("a", "1", time.Minute, now); still != 0 {
			t.Errorf("after %v it has been still for %v", step, still)
		}
	}
	if still := w.stillFor("a", "1", time.Minute, now.Add(1000*time.Hour)); still > time.Minute {
		t.Errorf("one leap of the clock counts %v", still)
	}
}

func TestADeadWorkersClaimsAreSeenToAtOnceOnThisMachine(t *testing.T) {
	dir := memoryDir(t)
	dead, die := sharingUntil(t, initialised(t, dir))
	dropped(t, dead, "A2", "marsh.jpg", thePhotograph)
	id := dead.self.Load().id
	s := sharing(t, dir)
	if r, err := s.Recover(); err != nil || len(r) != 0 {
		t.Fatalf("recovered from the living: %+v, %v", r, err)
	}
	die()
	for _, w := range workers(t, s) {
		if w.Alive != (w.ID != id) {
			t.Errorf("%+v", w)
		}
	}
	r, err := s.TakeOver(time.Hour, time.Now())
	if err != nil || len(r) != 1 || r[0].Kind != Returned || r[0].Original != "drop/A2/marsh.jpg" {
		t.Errorf("%+v, %v", r, err)
	}
	if want := "drop/A2/marsh.jpg: was in hand when another sizewright stopped (worker " + id + "), and is back in its drop folder"; len(r) == 1 && r[0].Text != want {
		t.Errorf("told: %s\nwant: %s", r[0].Text, want)
	}
	if all := workers(t, s); len(all) != 1 || all[0].ID != s.self.Load().id {
		t.Errorf("workers left: %+v", all)
	}
	if names, _ := os.ReadDir(s.abs(workersDir)); len(names) != 2 {
		t.Errorf("files left: %v", names)
	}
}

func TestATakeoverThatFailsIsTriedAgain(t *testing.T) {
	dir := memoryDir(t)
	dead, die := sharingUntil(t, initialised(t, dir))
	dropped(t, dead, "A2", "marsh.jpg", thePhotograph)
	die()
	s := sharing(t, dir)
	full := errors.New("no room")
	s.tree.before = func(c change) error {
		if c.to == "drop/A2/marsh.jpg" {
			return full
		}
		return nil
	}
	if r, err := s.TakeOver(time.Hour, time.Now()); !errors.Is(err, full) || len(r) != 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	s.tree.before = nil
	if r, err := s.TakeOver(time.Hour, time.Now()); err != nil || len(r) != 1 || r[0].Kind != Returned {
		t.Errorf("%+v, %v", r, err)
	}
	wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg")
}
