package daemon

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/intake"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
	"sizewright/internal/studio"
)

// A program that has a file open goes on writing to it wherever it is moved. So it is
// asked again whether one has: after a file was taken, when nobody can open it by its
// old name any more, and before its print is published. Where the system does not
// know, the bytes are compared instead: before the print is published, and a few times
// afterwards.

// undisturbed fails with studio.ErrChanged if some program still writes to the photograph
// of a claim.
func undisturbed(c *studio.Claim, writers func(path string) intake.Writers) error {
	if err := c.Unchanged(); err != nil {
		return err
	}
	if writers(c.OriginalPath()) == intake.Somebody {
		return changed(c, "some program still has it open for writing", "it will be taken again once it is closed")
	}
	return nil
}

func changed(c *studio.Claim, why, next string) error {
	return remedy.Errorf(next, "%s: %w: %s", filepath.Join("drop", c.Folder, c.Name), studio.ErrChanged, why)
}

// sameBytes fails with studio.ErrChanged if the photograph is not what it was when its
// digest went on record. It reads it only where nobody knows who writes to it.
func (j *job) sameBytes(ctx context.Context) error {
	if j.writers(j.claim.OriginalPath()) != intake.Unknown {
		return nil
	}
	sum, err := digestOf(ctx, j.claim.OriginalPath(), j.claim.Size, true, j.progress.beat)
	if err != nil {
		return fmt.Errorf("reading %s: %w", j.rec.Source.Name, err)
	}
	if sum != j.rec.Source.SHA256 {
		return changed(j.claim, "some program was still writing it", "it will be taken again once it rests")
	}
	return nil
}

// rechecks are the originals that some program may still write to, for all that the system
// knows. They are read again a few times after their prints were made.
type rechecks struct {
	root    string // the studio's
	writers func(path string) intake.Writers
	log     *zap.Logger

	mu  sync.Mutex
	all []*recheck
}

// recheck is the original of a print that is to be read again.
type recheck struct {
	folder, name string
	path         string // of the original, from the studio's root
	bytes        int64
	sha256       string
	since        time.Time
	done         int // times
}

// recheckAfter is when after its print was made an original is read again. House judgement.
var recheckAfter = []time.Duration{time.Minute, 5 * time.Minute, 20 * time.Minute, time.Hour}

// add has the original of a print that was just made read again later, where nobody knows
// who writes to it.
func (c *rechecks) add(r *record.Record) {
	path := filepath.FromSlash(r.Source.Original)
	if r.Status == record.Held || c.writers(filepath.Join(c.root, path)) != intake.Unknown {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all = append(c.all, &recheck{folder: r.Order.Folder, name: r.Source.Name, path: path, bytes: r.Source.Bytes, sha256: r.Source.SHA256, since: time.Now()})
}

// due are those to be read now. The last time ends one.
func (c *rechecks) due(now time.Time) (due []*recheck) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all = slices.DeleteFunc(c.all, func(x *recheck) bool {
		if now.Before(x.since.Add(recheckAfter[x.done])) {
			return false
		}
		x.done++
		due = append(due, x)
		return x.done == len(recheckAfter)
	})
	return due
}

// atEnd are all of them, for a run that ends.
func (c *rechecks) atEnd() []*recheck {
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.Clone(c.all)
}

// read reads originals and tells of those that have changed, which are then read no more.
func (c *rechecks) read(ctx context.Context, due []*recheck) (changed []record.Fault) {
	for _, x := range due {
		if c.asMade(ctx, x) {
			continue
		}
		c.mu.Lock()
		c.all = slices.DeleteFunc(c.all, func(e *recheck) bool { return e == x })
		c.mu.Unlock()
		changed = append(changed, record.Fault{Folder: x.folder, Name: x.name,
			Text:   fmt.Sprintf("%s was written to after its print was made, so the print may lack a part", filepath.ToSlash(x.path)),
			Remedy: "compare the two, and drop the picture again"})
	}
	return changed
}

// asMade tells whether an original is as its print was made from; also if that cannot
// be known, as of one that a person has taken away.
func (c *rechecks) asMade(ctx context.Context, x *recheck) bool {
	path := filepath.Join(c.root, x.path)
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return true
	}
	if info.Size() != x.bytes {
		return false
	}
	sum, err := digestOf(ctx, path, x.bytes, true, func() {})
	if err != nil && !errors.Is(err, fs.ErrNotExist) && ctx.Err() == nil {
		c.log.Warn("an original cannot be compared with its print", zap.String("path", x.path), zap.Error(err))
	}
	return err != nil || sum == x.sha256
}

// noteChanged notes originals that have changed after their prints were made.
func (r *run) noteChanged(all []record.Fault) {
	for _, f := range all {
		r.night.fault(f)
		r.Log.Error("fault", zapFault(f)...)
	}
}

// recheck reads the originals whose time has come, beside the loop.
func (l *loop) recheck(ctx context.Context) {
	if l.rechecking {
		return
	}
	due := l.rechecks.due(time.Now())
	if len(due) == 0 {
		return
	}
	l.rechecking = true
	go func() { l.changed <- l.rechecks.read(ctx, due) }()
}

// onChanged has the report tell of originals that have changed.
func (l *loop) onChanged(all []record.Fault) {
	l.rechecking = false
	if len(all) == 0 {
		return
	}
	l.reportSoon()
	l.noteChanged(all)
}
