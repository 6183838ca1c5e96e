package daemon

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"sizewright/internal/intake"
)

var evening = time.Date(2026, 3, 14, 22, 0, 0, 0, time.UTC)

func dropped(folder, name string, age time.Duration) intake.Candidate {
	return intake.Candidate{Folder: folder, Name: name, ModTime: evening.Add(-age)}
}

// noEnd is the room on a large disk.
func noEnd() int64 { return 1 << 60 }

// drained is what comes out of a queue, in order.
func drained(q *queue, now time.Time) string {
	var names []string
	for {
		c, ok := q.next(now, noEnd)
		if !ok {
			return strings.Join(names, " ")
		}
		names = append(names, c.Name)
	}
}

func TestTheOldestIsMadeFirst(t *testing.T) {
	q := newQueue()
	q.add(dropped("A2", "young", 0), time.Second, evening)
	q.add(dropped("A2", "old", time.Hour), time.Second, evening)
	if got := drained(q, evening); got != "old young" {
		t.Errorf("in the order %s", got)
	}
}

func TestSmallPrintsOvertakeAGiantForAWhileOnly(t *testing.T) {
	q := newQueue()
	q.add(dropped("60x90in", "giant", 0), 30*time.Second, evening) // stands back five minutes
	for minute := range 10 {
		q.add(dropped("A4", fmt.Sprint("small", minute), 0), 0, evening.Add(time.Duration(minute)*time.Minute))
	}
	const want = "small0 small1 small2 small3 small4 giant small5 small6 small7 small8 small9"
	if got := drained(q, evening.Add(time.Hour)); got != want {
		t.Errorf("in the order %s,\nwant %s", got, want)
	}
}

// Files of one drop come within moments of each other.
func TestALotIsMadeFromSmallToLarge(t *testing.T) {
	q := newQueue()
	for i, takes := range []time.Duration{9, 1, 4} {
		q.add(dropped("A2", fmt.Sprint(int(takes)), 0), takes*time.Second, evening.Add(time.Duration(i)*10*time.Millisecond))
	}
	if got := drained(q, evening); got != "1 4 9" {
		t.Errorf("in the order %s", got)
	}
}

func TestAFileThatComesAnewTakesTheOldOnesPlace(t *testing.T) {
	q := newQueue()
	q.add(dropped("A2", "marsh", time.Hour), 0, evening)
	q.add(dropped("A2", "marsh", 0), 0, evening)
	if c, _ := q.next(evening, noEnd); !c.ModTime.Equal(evening) {
		t.Errorf("the file of %v is made", c.ModTime)
	}
	if got := drained(q, evening); got != "" {
		t.Errorf("it is made twice")
	}
}

func TestAFaultIsGivenTimeToGoAway(t *testing.T) {
	q := newQueue()
	c := dropped("A2", "marsh", 0)
	now := evening
	for _, pause := range []time.Duration{30 * time.Second, time.Minute, 2 * time.Minute, 4 * time.Minute, 8 * time.Minute, 15 * time.Minute, 15 * time.Minute} {
		q.ended(c, outcome{how: faulty}, now)
		q.add(c, 0, now)
		if got := drained(q, now.Add(pause-time.Second)); got != "" {
			t.Fatalf("tried again within %v", pause)
		}
		now = now.Add(pause)
		if got := drained(q, now); got != "marsh" {
			t.Fatalf("not tried again after %v", pause)
		}
	}
	q.ended(c, outcome{how: finished}, now)
	q.add(c, 0, now)
	if got := drained(q, now); got != "marsh" {
		t.Error("what was made is held back when it comes again")
	}
}

func TestOthersGoOnWhileOneWaits(t *testing.T) {
	q := newQueue()
	waits, goes := dropped("A2", "waits", time.Hour), dropped("A2", "goes", 0)
	q.ended(waits, outcome{how: noRoom}, evening)
	q.add(waits, 0, evening)
	q.add(goes, 0, evening)
	if got := drained(q, evening); got != "goes" {
		t.Errorf("%s came out", got)
	}
	if got := drained(q, evening.Add(roomPause)); got != "waits" {
		t.Errorf("%s came out after its time", got)
	}
}

func TestThousandsQueueInTurn(t *testing.T) {
	q := newQueue()
	for i := range 2000 {
		q.add(dropped("A2", fmt.Sprintf("%04d", i), time.Duration(2000-i)*time.Second), 0, evening)
	}
	names := strings.Fields(drained(q, evening))
	for i, name := range names {
		if name != fmt.Sprintf("%04d", i) {
			t.Fatalf("%s came out at place %d", name, i)
		}
	}
	if len(names) != 2000 {
		t.Errorf("%d came out", len(names))
	}
}

// What has waited goes on waiting from where it was.
func TestAReloadKeepsTheTurns(t *testing.T) {
	q, giant := newQueue(), dropped("60x90in", "giant", 0)
	later := func(minutes int) time.Time { return evening.Add(time.Duration(minutes) * time.Minute) }
	q.add(giant, 30*time.Second, evening) // stands back five minutes
	q.anew()
	q.add(giant, 30*time.Second, later(4))
	q.add(dropped("A4", "small", 0), 0, later(6))
	if got := drained(q, later(7)); got != "giant small" {
		t.Errorf("in the order %s", got)
	}
}
