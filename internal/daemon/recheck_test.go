package daemon

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"sizewright/internal/intake"
	"sizewright/internal/photo"
	"sizewright/internal/record"
)

// whileDecoding has something happen to a photograph in hand, each time one is decoded.
func whileDecoding(o *Options, do func(path string)) {
	o.Decode = func(_ context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
		p, err := photo.Open(path, lim)
		do(path)
		return p, err
	}
}

func unknown(string) intake.Writers { return intake.Unknown }

// writeOver writes one byte in the middle of a file, and leaves its times as they were:
// as a share does that keeps the times that its client set, or mapped memory.
func writeOver(t *testing.T, path string) {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteAt([]byte{0xff, 0x00}, info.Size()/2); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(path, info.ModTime(), info.ModTime()); err != nil {
		t.Fatal(err)
	}
}

// backInDrop checks that a run gave a photograph back and made nothing of it.
func backInDrop(t *testing.T, r *Result, o Options, says string) {
	t.Helper()
	if len(r.Night.Records) != 0 || len(r.Night.Left) != 1 || !strings.Contains(r.Night.Left[0].Why(), says) {
		t.Errorf("records %v, left %v; want one left: %s", r.Night.Records, r.Night.Left, says)
	}
	if names, _ := filepath.Glob(filepath.Join(o.Studio.Root(), "o*", "A6", "*")); len(names) != 0 {
		t.Errorf("there are %v", names)
	}
	if _, err := os.Stat(filepath.Join(o.Studio.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Error(err)
	}
}

// No print is published of a file that a program could still be changing.
func TestAPhotographOpenForWritingIsGivenBack(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	var open []*os.File
	whileDecoding(&o, func(path string) {
		f, err := os.OpenFile(path, os.O_RDWR, 0)
		if err != nil {
			t.Error(err)
		}
		open = append(open, f)
	})
	r, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	backInDrop(t, r, o, "some program still has it open for writing; it will be taken again once it is closed")
	if r, err = Once(t.Context(), o); err != nil || len(r.Night.Records) != 0 || len(open) != 1 {
		t.Errorf("still open: %v, %v", r.Night.Records, err)
	}
	open[0].Close()
	o.Decode = nil
	if r, err = Once(t.Context(), o); err != nil || len(r.Night.Records) != 1 {
		t.Errorf("closed: %v, %v", r.Night.Records, err)
	}
}

// Somebody may open it between the look at it and its being taken.
func TestAPhotographOpenedAsItIsTakenIsGivenBack(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	o.writers = func(string) intake.Writers { return intake.Somebody }
	whileDecoding(&o, func(string) { t.Error("it is decoded") })
	r, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	backInDrop(t, r, o, "some program still has it open for writing")
}

// Where nobody knows who writes, the bytes tell, not the times.
func TestAPhotographWrittenToWhileInHandIsGivenBack(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	o.writers = unknown
	whileDecoding(&o, func(path string) { writeOver(t, path) })
	r, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	backInDrop(t, r, o, "some program was still writing it; it will be taken again once it rests")
}

// ends does something when an order has ended.
type ends struct {
	silent
	do func(record.Entry)
}

func (e ends) Ended(entry record.Entry) { e.do(entry) }

var wasChanged = record.Fault{Folder: "A6", Name: "marsh.jpg",
	Text:   "originals/A6/marsh.jpg was written to after its print was made, so the print may lack a part",
	Remedy: "compare the two, and drop the picture again"}

func TestAnOriginalWrittenToAfterItsPrintWasMadeIsTold(t *testing.T) {
	for _, tt := range []struct {
		writers func(string) intake.Writers
		want    []record.Fault
	}{
		{unknown, []record.Fault{wasChanged}},
		{nil, nil}, // nobody had it open, the system says: what is done to an original later is its owner's affair
	} {
		s, o := newStudio(t, "A6", quick)
		drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
		o.writers = tt.writers
		o.Progress = ends{do: func(e record.Entry) { writeOver(t, filepath.Join(s.Root(), e.Record.Source.Original)) }}
		r, err := Once(t.Context(), o)
		if err != nil || len(r.Night.Records) != 1 || !slices.Equal(r.Night.Faults, tt.want) {
			t.Errorf("%v, faults %v, want %v", err, r.Night.Faults, tt.want)
		}
		page, err := os.ReadFile(filepath.Join(s.Root(), r.Page))
		if told := strings.Contains(string(page), "was written to after its print was made"); err != nil || told != (tt.want != nil) {
			t.Errorf("the page tells: %v, %v", told, err)
		}
	}
}

// The daemon looks again for an hour, and then has a report written.
func TestTheDaemonLooksBackAtOriginalsInDoubt(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	for _, name := range []string{"marsh.jpg", "reed.jpg", "taken away.jpg"} {
		drop(t, s, "A6", name, jpegOf(t, 600+len(name), 420))
	}
	o.writers = unknown
	r, leave, err := open(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	waiting, _, err := intake.Settled(t.Context(), s.Drop(), r.intake())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range waiting {
		r.attempt(t.Context(), c)
	}
	if len(r.rechecks.all) != 3 {
		t.Fatalf("%d in doubt", len(r.rechecks.all))
	}
	l := &loop{run: r, changed: make(chan []record.Fault, 1)}
	looks := func(after time.Duration) []record.Fault {
		for _, d := range r.rechecks.all {
			d.since = time.Now().Add(-after)
		}
		if l.recheck(t.Context()); !l.rechecking {
			return nil
		}
		all := <-l.changed
		l.onChanged(all)
		return all
	}
	if err := os.Remove(filepath.Join(s.Root(), "originals", "A6", "taken away.jpg")); err != nil {
		t.Fatal(err)
	}
	if all := looks(59 * time.Second); len(all) != 0 || r.rechecks.all[0].done != 0 {
		t.Errorf("within a minute: %v", all)
	}
	if all := looks(time.Minute); len(all) != 0 || !l.due.IsZero() || r.rechecks.all[0].done != 1 {
		t.Errorf("unchanged: %v", all)
	}
	writeOver(t, filepath.Join(s.Root(), "originals", "A6", "marsh.jpg"))
	all := looks(5 * time.Minute)
	if len(all) != 1 || all[0] != wasChanged || l.due.IsZero() || !slices.Equal(r.night.night.Faults, all) {
		t.Errorf("changed: %v, faults %v, report at %v", all, r.night.night.Faults, l.due)
	}
	for _, after := range recheckAfter[2:] {
		looks(after)
	}
	if len(r.rechecks.all) != 0 {
		t.Errorf("looked at for ever: %v", r.rechecks.all)
	}
}
