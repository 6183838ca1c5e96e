package record

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"syscall"
	"time"

	"sizewright/internal/intake"
	"sizewright/internal/plaintext"
	"sizewright/internal/printsize"
	"sizewright/internal/remedy"
)

const (
	outboxDir    = "outbox"
	heldDir      = "held"
	originalsDir = "originals"
	reportDir    = printsize.Reports // in the outbox, and no drop folder

	recordSuffix = ".json"
	tiffSuffix   = ".tif"
	reasonSuffix = ".txt"
	// maxRecordBytes is far above any record: a larger file is something else.
	maxRecordBytes = 1 << 20
)

// clockSlack is how far the clock that dates files may be behind the one that dates
// prints: a server has its own, and some file systems keep local time.
const clockSlack = 24 * time.Hour

// Reader reads the records of a studio, of which there may be ten thousands: a context
// ends it, and it tells that it gets on.
//
// People keep things in outbox/ and held/. Whatever is no readable print record (other
// files, links, pipes, records cut short or of another form) is passed over, and so is a
// record where the program puts none of what it tells. Only a root that cannot be opened
// is an error.
type Reader struct {
	Root string // the studio's
	Beat func() // hears of every file that was looked at; nil for none

	// Passed hears of records that do not count where they lie, and why; nil for none.
	Passed func(path string, why error)
}

// Read is the records that were finished at since or later, in the order they were
// finished.
func (r Reader) Read(ctx context.Context, since time.Time) ([]Entry, error) {
	return r.since(ctx, since, Decode, outboxDir, heldDir)
}

// Made is the records of all that was made, or found made before, without plans.
func (r Reader) Made(ctx context.Context) ([]Entry, error) {
	return r.since(ctx, time.Time{}, DecodeBrief, outboxDir)
}

// Repeats is the records of the orders for a print that was made before, by the path of its
// record, that were finished at since or later, without plans.
func (r Reader) Repeats(ctx context.Context, of string, since time.Time) ([]Entry, error) {
	all, err := r.since(ctx, since, DecodeBrief, outboxDir)
	return slices.DeleteFunc(all, func(e Entry) bool { return e.Record.RepeatOf != of }), err
}

// Held is the records of all that was not made, without plans.
func (r Reader) Held(ctx context.Context) ([]Entry, error) {
	return r.since(ctx, time.Time{}, DecodeBrief, heldDir)
}

// History is everything that was made of one picture, or held of it, in the order it was
// finished, without plans. The picture is given by its file's name as dropped (or as it
// is shown, where that differs), by what its original or its print is called now, or by
// at least 8 digits its SHA-256 begins with. A picture that was dropped under several
// names is still one. Of two pictures of one name both are told; Source.SHA256 keeps
// them apart. A picture nothing is known of has no history, which is no error.
func (r Reader) History(ctx context.Context, picture string) ([]Entry, error) {
	entries, err := r.since(ctx, time.Time{}, DecodeBrief, outboxDir, heldDir)
	if err != nil {
		return nil, err
	}
	wanted := map[string]bool{}
	for _, e := range entries {
		if e.Record.IsCalled(picture) || begins(e.Record.Source.SHA256, picture) {
			wanted[e.Picture()] = true
		}
	}
	return slices.DeleteFunc(entries, func(e Entry) bool { return !wanted[e.Picture()] }), nil
}

// IsCalled tells whether a person may mean a record's picture or print by this name.
func (r *Record) IsCalled(name string) bool {
	s := r.Source
	return name == s.Name || name == plaintext.Line(s.Name) || name == path.Base(s.Original) ||
		r.Print != nil && slices.ContainsFunc(r.Print.TIFFs(), func(t Numbered) bool { return t.File == name })
}

const leastDigits = 8

func begins(sha, digits string) bool {
	return len(digits) >= leastDigits && strings.HasPrefix(sha, strings.ToLower(digits))
}

func (r Reader) beat() {
	if r.Beat != nil {
		r.Beat()
	}
}

// decoder is [Decode] or [DecodeBrief].
type decoder func([]byte) (*Record, error)

// readAt reads the record at a path, and tells whether there is one.
func (r Reader) readAt(studio *os.Root, path string, decode decoder) (Entry, bool) {
	r.beat()
	e, err := readAt(studio, path, decode)
	if err != nil && !errors.Is(err, errNoRecord) && r.Passed != nil {
		r.Passed(path, err)
	}
	return e, err == nil
}

func (r Reader) since(ctx context.Context, since time.Time, decode decoder, dirs ...string) ([]Entry, error) {
	studio, err := openStudio(r.Root)
	if err != nil {
		return nil, err
	}
	defer studio.Close()
	files, err := r.files(ctx, studio, since, dirs...)
	if err != nil {
		return nil, err
	}
	var entries []Entry
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if e, ok := r.readAt(studio, f.path, decode); ok && !e.Record.Times.Finished.Before(since) {
			entries = append(entries, e)
		}
	}
	inOrder(entries)
	return entries, nil
}

// inOrder sorts entries by when they were finished.
func inOrder(entries []Entry) {
	slices.SortStableFunc(entries, func(a, b Entry) int {
		return cmp.Or(a.Record.Times.Finished.Compare(b.Record.Times.Finished), strings.Compare(a.Path, b.Path))
	})
}

func openStudio(root string) (*os.Root, error) {
	studio, err := os.OpenRoot(root)
	if err != nil {
		return nil, remedy.Errorf("check its path and permissions", "the studio cannot be read: %w", err)
	}
	return studio, nil
}

// recordFile is a file that is named as a record is.
type recordFile struct {
	path     string // as an [Entry]'s
	modified time.Time
	size     int64
}

// files are the files in the folders of dirs that may be records of what was finished at
// since or later.
func (r Reader) files(ctx context.Context, studio *os.Root, since time.Time, dirs ...string) ([]recordFile, error) {
	var files []recordFile
	for _, dir := range dirs {
		for _, folder := range list(studio, dir) {
			if !folder.IsDir() || dir == outboxDir && strings.EqualFold(folder.Name(), reportDir) {
				continue
			}
			in, err := r.filesIn(ctx, studio, since, dir+"/"+folder.Name(), 1)
			if err != nil {
				return nil, err
			}
			files = append(files, in...)
		}
	}
	return files, nil
}

// filesIn is files for a folder that is so many folders deep, and for those in it.
func (r Reader) filesIn(ctx context.Context, studio *os.Root, since time.Time, dir string, depth int) (files []recordFile, err error) {
	r.beat()
	for _, d := range list(studio, dir) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		path := dir + "/" + d.Name()
		if d.IsDir() && depth < intake.MaxDepth {
			in, err := r.filesIn(ctx, studio, since, path, depth+1)
			if err != nil {
				return nil, err
			}
			files = append(files, in...)
		}
		if !d.Type().IsRegular() || !strings.HasSuffix(d.Name(), recordSuffix) {
			continue
		}
		info, err := studio.Lstat(path)
		if err != nil || !info.Mode().IsRegular() || info.ModTime().Before(since.Add(-clockSlack)) {
			continue // what an older file tells of is older still
		}
		files = append(files, recordFile{path, info.ModTime(), info.Size()})
	}
	return files, nil
}

// errNoRecord is any file that is no print record.
var errNoRecord = errors.New("no print record")

// readAt reads a record that can be relied on, where it lies.
func readAt(studio *os.Root, path string, decode decoder) (Entry, error) {
	data, err := ReadFile(studio, path, maxRecordBytes)
	if err != nil {
		return Entry{}, errNoRecord
	}
	r, err := decode(data)
	if err != nil || !whole(r) {
		return Entry{}, errNoRecord
	}
	e := Entry{Path: path, Record: *r}
	return e, placed(studio, e)
}

// whole tells a record that can be relied on from one that only has the right first line.
func whole(r *Record) bool {
	switch r.Status {
	case Ready, ReadyWithCautions:
		return r.Plan != nil && r.Print != nil && r.Print.File != ""
	case Held:
		return r.Print == nil
	}
	return false
}

// list is what a directory holds, by name; what cannot be listed holds nothing.
func list(studio *os.Root, dir string) []fs.DirEntry {
	f, err := studio.Open(dir)
	if err != nil {
		return nil
	}
	defer f.Close()
	entries, _ := f.ReadDir(-1) // after an error, what was read of it
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries
}

// ReadFile reads a regular file of a studio, of at most limit bytes, where anybody may
// have put a link or a pipe in its place.
func ReadFile(studio *os.Root, path string, limit int64) ([]byte, error) {
	info, err := studio.Lstat(path) // before it is opened, for whoever waits at a pipe
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > limit {
		return nil, fmt.Errorf("%s: not a file of at most %d bytes", path, limit)
	}
	f, err := openQuick(studio, path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, limit))
}

// openQuick opens a file to read, and waits on no pipe that has taken its place since it
// was looked at.
func openQuick(studio *os.Root, path string) (*os.File, error) {
	return studio.OpenFile(path, os.O_RDONLY|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0)
}
