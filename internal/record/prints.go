package record

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"sync"
	"time"

	"sizewright/internal/edition"
	"sizewright/internal/order"
	"sizewright/internal/plural"
	"sizewright/internal/tiff"
)

// Prints finds the prints that need not be made again. Of each it keeps no more than its
// [Key] and where its record lies, so that a studio may go on for years; the record is
// read again when it is asked for. The zero Prints knows none. Several goroutines may
// use it at once.
type Prints struct {
	learning sync.Mutex            // held by one Learn at a time, and guards read
	read     map[string]recordFile // as they were when they were read, by path

	mu       sync.Mutex          // guards what follows, and is never held for long
	prints   map[string][]string // the paths of records by key
	versions []int               // of the recipes that they were made by, rising
	numbers  []edition.Line      // that they have of editions
}

// Learn reads the records in the outbox of the studio that are new, or other than they
// were, until ctx ends. Only a root that cannot be opened is another error.
func (p *Prints) Learn(ctx context.Context, r Reader) error {
	studio, err := openStudio(r.Root)
	if err != nil {
		return err
	}
	defer studio.Close()
	p.learning.Lock()
	defer p.learning.Unlock()
	files, err := r.files(ctx, studio, time.Time{}, outboxDir)
	if err != nil {
		return err
	}
	read := make(map[string]recordFile, len(files))
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err // what was read is read again
		}
		read[f.path] = f
		if p.read[f.path] == f {
			continue
		}
		if e, ok := r.readAt(studio, f.path, DecodeBrief); ok {
			p.Add(e)
		}
	}
	p.read = read
	return nil
}

// Add notes a print that was made. Repeats are no prints of their own.
func (p *Prints) Add(e Entry) {
	if !isPrint(e) {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.numbers = append(p.numbers, e.Record.Numbers()...)
	if p.prints == nil {
		p.prints = map[string][]string{}
	}
	if at, known := slices.BinarySearch(p.versions, e.Record.Recipe); !known {
		p.versions = slices.Insert(p.versions, at, e.Record.Recipe)
	}
	if key := Key(&e.Record); !slices.Contains(p.prints[key], e.Path) {
		p.prints[key] = append(p.prints[key], e.Path)
	}
}

// Versions are those of the recipes that the known prints were made by, rising.
func (p *Prints) Versions() []int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.versions)
}

// Numbers are those of editions that the known prints have.
func (p *Prints) Numbers() []edition.Line {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.numbers)
}

// Numbers are those of its edition that a print has and keeps, as the ledger has them.
func (r *Record) Numbers() (all []edition.Line) {
	if r.Print == nil || r.Print.Edition == nil {
		return nil
	}
	of := edition.Picture{Job: r.Order.Job, Name: order.Stem(r.Source.Name), Size: r.Order.Size, Of: r.Print.Edition.Of}
	for _, n := range r.numbers() {
		all = append(all, edition.Line{Picture: of, Number: n, At: r.Times.Finished})
	}
	return all
}

// isPrint tells the record of a print that can be recognised from that of a hold, of
// a repeat, and of a program from before records had an identity.
func isPrint(e Entry) bool {
	return e.Record.Print != nil && e.Record.RepeatOf == "" && e.Record.Identity != ""
}

// Find is the record of a print with this key whose TIFF still lies in the outbox of the
// studio at root as it was made. Where there is none, spoilt says of each that lies there
// and was emptied, cut or replaced what is wrong with it, one sentence each. Of a print
// that was taken away there is nothing to say.
func (p *Prints) Find(root, key string) (e Entry, found bool, spoilt []string) {
	studio, err := openStudio(root)
	if err != nil {
		return Entry{}, false, nil
	}
	defer studio.Close()
	p.mu.Lock()
	paths := slices.Clone(p.prints[key])
	p.mu.Unlock()
	for _, path := range slices.Backward(paths) {
		e, err := readAt(studio, path, Decode)
		if err != nil || !isPrint(e) || Key(&e.Record) != key {
			continue // another has its name by now
		}
		switch err := intact(studio, e); {
		case err == nil:
			return e, true, nil
		case !errors.Is(err, fs.ErrNotExist):
			spoilt = append(spoilt, fmt.Sprintf("%s: %v", e.Beside(e.Record.Print.File), err))
		}
	}
	return Entry{}, false, spoilt
}

// intact tells whether a print's TIFF is as it was made, as far as its length, its
// directory and the first bytes of its strips show. fs.ErrNotExist is that it is gone;
// any other error is for the end of a sentence about it.
func intact(studio *os.Root, e Entry) error {
	for _, t := range e.Record.Print.TIFFs() {
		if err := intactTIFF(studio, e, t); err != nil {
			return err
		}
	}
	return nil
}

func intactTIFF(studio *os.Root, e Entry, made Numbered) error {
	file := e.Beside(made.File)
	info, err := studio.Lstat(file) // before it is opened: a link is not followed
	if err != nil {
		return err
	}
	switch {
	case !info.Mode().IsRegular():
		return errors.New("something else lies there under its name")
	case made.Bytes > 0 && info.Size() != made.Bytes:
		return fmt.Errorf("it has %s, and had %d when it was made", plural.Count(info.Size(), "byte", "bytes"), made.Bytes)
	}
	f, err := openQuick(studio, file)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return nil // somebody else's by now, and of its length
	case err != nil:
		return fmt.Errorf("it cannot be read: %w", err)
	}
	defer f.Close()
	width, height := e.Record.Plan.Extent()
	return tiff.Check(f, info.Size(), width, height)
}
