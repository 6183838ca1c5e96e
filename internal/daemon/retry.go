package daemon

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"sizewright/internal/intake"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// fileKey is where a candidate lies.
type fileKey struct{ folder, name string }

func keyOf(c intake.Candidate) fileKey { return fileKey{c.Folder, c.Name} }

// fileVersion is a photograph as far as can be told without reading it. One that has
// changed is another.
type fileVersion struct {
	fileKey
	bytes, modified int64
}

func versionOfFile(c intake.Candidate) fileVersion {
	return fileVersion{keyOf(c), c.Size, c.ModTime.UnixNano()}
}

func versionOf(c *studio.Claim) fileVersion {
	return fileVersion{fileKey{c.Folder, c.Name}, c.Size, c.ModTime.UnixNano()}
}

// retry is what kept a photograph from being made.
type retry struct {
	of    fileVersion
	times int // faults in a row
	outcome
	until time.Time // not to be tried before
}

// outcome is how an attempt at an order came out.
type outcome struct {
	how    ending
	why    string // with noRoom and faulty: one sentence
	remedy string // and what to do, or ""
	needs  int64  // with noRoom: bytes of the disk
}

// ended notes how it went with a candidate, which matters if it comes again.
func (q *queue) ended(c intake.Candidate, o outcome, now time.Time) {
	s, id := keyOf(c), versionOfFile(c)
	delete(q.trying, id)
	before := q.retries[s]
	if before.of != id { // another file's, of that name
		before = retry{}
	}
	switch o.how {
	case faulty:
		pause := min(firstPause<<min(before.times, 10), longPause)
		q.retries[s] = retry{id, before.times + 1, o, now.Add(pause)}
	case noRoom:
		q.retries[s] = retry{id, before.times, o, now.Add(roomPause)}
	default:
		if before.of == id {
			delete(q.retries, s)
		}
	}
}

// stays are those that were set back, for others to read.
func (q *queue) stays() []Stay {
	var all []Stay
	for s, b := range q.retries {
		all = append(all, Stay{Folder: s.folder, Name: s.name, Text: b.why, Remedy: b.remedy, Waits: true})
	}
	slices.SortFunc(all, func(a, b Stay) int { return cmp.Or(cmp.Compare(a.Folder, b.Folder), cmp.Compare(a.Name, b.Name)) })
	return all
}

// forgetGone forgets what was set back and is no longer there.
func (q *queue) forgetGone(drop string) {
	for s, b := range q.retries {
		if _, inHand := q.trying[b.of]; inHand {
			continue
		}
		info, err := os.Lstat(filepath.Join(drop, s.folder, s.name))
		if errors.Is(err, fs.ErrNotExist) || err == nil && (info.Size() != b.of.bytes || info.ModTime().UnixNano() != b.of.modified) {
			delete(q.retries, s)
		}
	}
}

// noteRetries has the report tell of all that waits, though it was not tried since
// the last: for room, or for a fault to go away.
func (l *loop) noteRetries() {
	l.queue.forgetGone(l.Studio.Drop())
	for _, s := range l.queue.stays() {
		if l.queue.retries[fileKey{s.Folder, s.Name}].how == noRoom {
			l.night.note(record.Left{Folder: s.Folder, Name: s.Name, Text: s.Text, Remedy: s.Remedy, Code: "no-room", Pictures: 1})
		} else {
			l.night.fault(record.Fault{Folder: s.Folder, Name: s.Name, Text: s.Text, Remedy: s.Remedy})
		}
	}
}
