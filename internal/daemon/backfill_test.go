package daemon

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// The nights of these tests end in the mornings up to the 14th of March.
var lastMorning = time.Date(2026, 3, 14, 3, 0, 0, 0, time.Local)

// nightsOf has a studio hold the records of nights, as an earlier run left them: of each
// night each pictures, no pages, and the files' times as they were. The first of them is
// a print, the others are holds, whose pages need no small pictures.
func nightsOf(t *testing.T, s *studio.Studio, nights, each int) {
	t.Helper()
	for night := range nights {
		for i := range each {
			done := lastMorning.AddDate(0, 0, -night).Add(time.Duration(i) * time.Minute)
			name := fmt.Sprintf("n%d-%d.jpg", night, i)
			r := record.Record{
				Schema: record.SchemaID, Status: record.Held, Code: "damaged", Reason: name + " is cut short; copy it again",
				Order:  record.Order{Folder: "A6", Size: "A6"},
				Source: record.Source{Name: name, Original: "held/A6/" + name, SHA256: strings.Repeat("0", 64), Bytes: 4},
				Times:  record.Times{Claimed: done.Add(-time.Second), Finished: done},
			}
			file := filepath.Join(s.Held(), "A6", name)
			must(0, os.MkdirAll(filepath.Dir(file), 0o755))
			must(0, os.WriteFile(file, []byte("marsh"), 0o644))
			must(0, os.WriteFile(file+".json", must(r.Encode()), 0o644))
			must(0, os.Chtimes(file+".json", done, done))
		}
	}
}

// pagesOf are the nights that have a page, the latest first.
func pagesOf(s *studio.Studio) []string {
	files, _ := filepath.Glob(filepath.Join(s.MorningDir(), "20*.html"))
	for i, f := range files {
		files[i] = strings.TrimSuffix(filepath.Base(f), ".html")
	}
	slices.Sort(files)
	slices.Reverse(files)
	return files
}

// turnstile lets a backfill through, one page at a time.
type turnstile struct {
	at   chan string   // the night whose page is next
	pass chan struct{} // closed, or one for each page
	once sync.Once
}

func newTurnstile(t *testing.T, o *Options) *turnstile {
	s := &turnstile{at: make(chan string, 1000), pass: make(chan struct{})}
	o.onPage = func(ctx context.Context, night string) {
		s.at <- night
		select {
		case <-s.pass:
		case <-ctx.Done():
		}
	}
	t.Cleanup(s.open)
	return s
}

func (s *turnstile) open() { s.once.Do(func() { close(s.pass) }) }

// next waits for the backfill to come to its next page, for a minute.
func (s *turnstile) next(t *testing.T) string {
	t.Helper()
	select {
	case night := <-s.at:
		return night
	case <-time.After(time.Minute):
		t.Fatal("no page is begun")
		return ""
	}
}

// While the pages of a year are written, drops are taken, made and reported, the status
// says what goes on, and a stop is heard at once.
func TestTheDaemonGoesOnWhileEarlierNightsAreTold(t *testing.T) {
	s, o := newStudio(t, "A8", quick)
	nightsOf(t, s, 60, 5)
	gate := newTurnstile(t, &o)
	var clock shiftedClock
	clock.set(lastMorning.Add(48 * time.Hour))
	o.Now = clock.now
	stop := serving(t, o)
	if first := gate.next(t); first != "2026-03-14" {
		t.Errorf("the first night told is %s, want the latest", first)
	}
	gate.pass <- struct{}{}
	if second := gate.next(t); second != "2026-03-13" {
		t.Errorf("the second is %s", second)
	}
	d := statusBecomes(t, s, func(d Status) bool { return d.Backfill != nil && d.Backfill.Before == 1 })
	if d.Backfill.Night != "2026-03-13" {
		t.Errorf("it says to be at %s", d.Backfill.Night)
	}
	appears(t, filepath.Join(s.MorningDir(), "latest.html"))
	drop(t, s, "A8", "marsh.jpg", jpegOf(t, 300, 210))
	appears(t, filepath.Join(s.Outbox(), "A8", "marsh.json"))
	appears(t, filepath.Join(s.MorningDir(), "2026-03-16.html")) // its own report, in the midst of the others
	stop()                                                       // with a page in hand that would wait for ever
	if got := pagesOf(s); !slices.Equal(got, []string{"2026-03-16", "2026-03-14"}) {
		t.Errorf("stopped, there are the pages %v", got)
	}
	// The next start goes on where it was, and the latest page is of what was made last.
	o.onPage = nil
	latest := must(os.ReadFile(filepath.Join(s.MorningDir(), "latest.html")))
	told := must(os.Stat(filepath.Join(s.MorningDir(), "2026-03-16.html"))).ModTime()
	serving(t, o)
	gone(t, filepath.Join(s.Root(), unreportedName))
	if got := pagesOf(s); len(got) != 61 || got[60] != "2026-01-14" {
		t.Errorf("in the end there are %d pages: %v", len(got), got)
	}
	if !slices.Equal(must(os.ReadFile(filepath.Join(s.MorningDir(), "latest.html"))), latest) {
		t.Error("the latest page is another than that of the last night")
	}
	if now := must(os.Stat(filepath.Join(s.MorningDir(), "2026-03-16.html"))).ModTime(); !now.Equal(told) {
		t.Error("what was told is told again")
	}
	index := string(must(os.ReadFile(filepath.Join(s.MorningDir(), "index.html"))))
	if !strings.Contains(index, "marsh.jpg") || !strings.Contains(index, "n58-4.jpg") {
		t.Error("the index does not tell of it")
	}
}

// gone waits until a file that appears is gone again.
func gone(t *testing.T, name string) {
	t.Helper()
	for range 1200 {
		if _, err := os.Stat(name); errors.Is(err, os.ErrNotExist) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s stays", name)
}

// A report of the very night whose page is being written again is not overwritten by it: it
// knows of what was left alone, too.
func TestAReportIsNotOverwrittenByAnEarlierNightsPage(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	nightsOf(t, s, 3, 2)
	gate := newTurnstile(t, &o)
	var clock shiftedClock
	clock.set(lastMorning.Add(time.Hour)) // the night goes on
	o.Now = clock.now
	stop := serving(t, o)
	gate.next(t) // its page is to be written again, and waits
	must(0, os.Mkdir(filepath.Join(s.Drop(), "nosize"), 0o755))
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	page := filepath.Join(s.MorningDir(), "2026-03-14.html")
	appears(t, page)
	gate.open()
	gone(t, filepath.Join(s.Root(), unreportedName))
	stop()
	for _, name := range []string{page, filepath.Join(s.MorningDir(), "latest.html")} {
		text := string(must(os.ReadFile(name)))
		for _, want := range []string{"marsh.jpg", "nosize", "n0-1.jpg"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s does not tell of %s", filepath.Base(name), want)
			}
		}
	}
	if got := pagesOf(s); len(got) != 3 {
		t.Errorf("there are the pages %v, want all three", got)
	}
}

// With orders in hand from the first moment to the last, an earlier night is not told: the
// report of this run does not hide that it is still to be.
func TestANightIsNotForgottenByARunThatNeverCameToIt(t *testing.T) {
	s, l := atWork(t, quick)
	nightsOf(t, s, 1, 1)
	l.earlier = l.newBackfill()
	l.night.note(record.Left{Folder: "A6", Name: "half.jpg", Text: "unfinished"})
	if l.endRun(true); l.writing {
		l.written(<-l.wrote)
	}
	if _, err := os.Stat(filepath.Join(s.MorningDir(), "latest.html")); err != nil || l.due.IsZero() == false {
		t.Fatal("there is no report", err)
	}
	if got := pagesOf(s); slices.Contains(got, "2026-03-14") {
		t.Fatalf("meant not to be told yet: %v", got)
	}
	later := l.newBackfill()
	later.write(t.Context())
	if got := pagesOf(s); !slices.Contains(got, "2026-03-14") {
		t.Errorf("the next run tells %v", got)
	}
	gone(t, filepath.Join(s.Root(), unreportedName))
	if again := l.newBackfill(); again.from.IsZero() || again.resumed {
		t.Error("what is told is to be told again")
	}
}

// An order waits for the records of what was made before, and not the daemon: a stop is
// heard all the same.
func TestAnOrderWaitsUntilEarlierPrintsAreKnown(t *testing.T) {
	s, o := newStudio(t, "A8", quick)
	drop(t, s, "A8", "marsh.jpg", jpegOf(t, 300, 210))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	r, leave, err := open(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	<-r.known.read
	r.known.read = make(chan struct{})
	j := r.newJob(&studio.Claim{ID: "1"}, r.settings.desk(), order.Order{})
	j.rec = readRecord(t, s, "outbox/A8/marsh.json")
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := j.already(stopped); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped before they are known, it comes to %v", err)
	}
	r.known.err = errors.New("the disk does not answer")
	close(r.known.read)
	if before, ok, err := j.already(t.Context()); err != nil || !ok || before.Path != "outbox/A8/marsh.json" {
		t.Errorf("read at the second try, it is known %t as %s, %v", ok, before.Path, err)
	}
	if err := os.Rename(s.Root(), s.Root()+".away"); err != nil {
		t.Fatal(err)
	}
	if _, _, err := j.already(t.Context()); err == nil {
		t.Error("with no records to be read, it is made all the same")
	}
	must(0, os.Rename(s.Root()+".away", s.Root()))
}
