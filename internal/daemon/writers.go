package daemon

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/intake"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// A program that has a file open goes on writing to it wherever it is moved. So it is
// asked again whether one has: after a file was taken, when nobody can open it by its
// old name any more, and before its print is published. Where the system does not
// know, the bytes are compared instead: before the print is published, and a few times
// afterwards.

// undisturbed fails with studio.ErrChanged if some program still writes to the
// photograph of a claim.
func (w *worker) undisturbed(c *studio.Claim) error {
	if err := c.Unchanged(); err != nil {
		return err
	}
	if w.writers(c.OriginalPath()) == intake.Somebody {
		return changed(c, "some program still has it open for writing; it will be taken again once it is closed")
	}
	return nil
}

func changed(c *studio.Claim, why string) error {
	return fmt.Errorf("%s: %w: %s", filepath.Join("drop", c.Folder, c.Name), studio.ErrChanged, why)
}

// sameBytes fails with studio.ErrChanged if the photograph is not what it was when its
// digest went on record. It reads it only where nobody knows who writes to it.
func (j *job) sameBytes(ctx context.Context) error {
	if j.worker.writers(j.claim.OriginalPath()) != intake.Unknown {
		return nil
	}
	sum, err := digestOf(ctx, j.claim.OriginalPath(), j.claim.Size, true, j.worker.hand.beat)
	if err != nil {
		return fmt.Errorf("reading %s: %w", j.rec.Source.Name, err)
	}
	if sum != j.rec.Source.SHA256 {
		return changed(j.claim, "some program was still writing it; it will be taken again once it rests")
	}
	return nil
}

// doubt is the original of a print, which some program may still write to, for all that
// the system knows.
type doubt struct {
	folder, name string
	path         string // of the original, from the studio's root
	bytes        int64
	sha256       string
	since        time.Time
	looks        int
}

// doubtAfter is when after its print was made an original in doubt is read again. House
// practice.
var doubtAfter = []time.Duration{time.Minute, 5 * time.Minute, 20 * time.Minute, time.Hour}

// doubts has the original of a print that was just made looked at again later, where
// nobody knows who writes to it.
func (w *worker) doubts(r *record.Record) {
	path := filepath.FromSlash(r.Source.Original)
	if r.Status == record.Held || w.writers(filepath.Join(w.Studio.Root(), path)) != intake.Unknown {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.doubtful = append(w.doubtful, &doubt{folder: r.Order.Folder, name: r.Source.Name, path: path, bytes: r.Source.Bytes, sha256: r.Source.SHA256, since: time.Now()})
}

// doubtsDue are the doubts to be looked at now. The last look at one ends it.
func (w *worker) doubtsDue(now time.Time) (due []*doubt) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.doubtful = slices.DeleteFunc(w.doubtful, func(d *doubt) bool {
		if now.Before(d.since.Add(doubtAfter[d.looks])) {
			return false
		}
		d.looks++
		due = append(due, d)
		return d.looks == len(doubtAfter)
	})
	return due
}

// lookBack reads originals in doubt and tells of those that have changed, which are then
// looked at no more.
func (w *worker) lookBack(ctx context.Context, due []*doubt) (all []record.Fault) {
	for _, d := range due {
		if w.asMade(ctx, d) {
			continue
		}
		w.mu.Lock()
		w.doubtful = slices.DeleteFunc(w.doubtful, func(e *doubt) bool { return e == d })
		w.mu.Unlock()
		all = append(all, record.Fault{Folder: d.folder, Name: d.name,
			Text: fmt.Sprintf("%s was written to after its print was made, so the print may lack a part; compare the two, and drop the picture again", filepath.ToSlash(d.path))})
	}
	return all
}

// asMade tells whether an original is as its print was made from; also if that cannot
// be known, as of one that a person has taken away.
func (w *worker) asMade(ctx context.Context, d *doubt) bool {
	path := filepath.Join(w.Studio.Root(), d.path)
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return true
	}
	if info.Size() != d.bytes {
		return false
	}
	sum, err := digestOf(ctx, path, d.bytes, true, func() {})
	if err != nil && !errors.Is(err, fs.ErrNotExist) && ctx.Err() == nil {
		w.Log.Warn("an original cannot be compared with its print", zap.String("path", d.path), zap.Error(err))
	}
	return err != nil || sum == d.sha256
}

// tellChanged notes originals that have changed after their prints were made.
func (w *worker) tellChanged(all []record.Fault) {
	for _, f := range all {
		w.fault(f)
		w.Log.Error("fault", zapFault(f)...)
	}
}

// lookBack reads the originals in doubt whose time has come, beside the loop.
func (l *loop) lookBack(ctx context.Context) {
	if l.looking {
		return
	}
	due := l.doubtsDue(time.Now())
	if len(due) == 0 {
		return
	}
	l.looking = true
	go func() { l.changed <- l.worker.lookBack(ctx, due) }()
}

// onChanged has the report tell of originals that have changed.
func (l *loop) onChanged(all []record.Fault) {
	l.looking = false
	if len(all) == 0 {
		return
	}
	if l.report.IsZero() && !l.working {
		l.beginNight()
		l.report = time.Now().Add(reportAfter)
	}
	l.tellChanged(all)
}
