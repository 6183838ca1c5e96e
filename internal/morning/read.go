package morning

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
	"syscall"
	"time"

	"sizewright/internal/record"
)

const (
	outboxDir    = "outbox"
	heldDir      = "held"
	originalsDir = "originals"
	morningDir   = "morning" // in the outbox, and no drop folder

	recordSuffix = ".json"
	tiffSuffix   = ".tif"
	reasonSuffix = ".txt"
	// maxRecordBytes is far above any record: a larger file is something else.
	maxRecordBytes = 1 << 20
)

// clockSlack is how far the clock that dates files may be behind the one that dates
// prints: a server has its own, and some file systems keep local time.
const clockSlack = 24 * time.Hour

// Read collects the print records under outbox/ and held/ of the studio at
// root that were finished at since or later, in the order they were finished.
//
// People keep things in these folders. Whatever is no readable print record
// (other files, links, pipes, records cut short or of another form) is passed
// over, and so is a record where the program puts none of what it tells; only a root
// that cannot be opened is an error.
func Read(root string, since time.Time) ([]Entry, error) {
	return Reader{Root: root}.Read(context.Background(), since)
}

// ReadHeld is [Read] of every record of what was not made, without plans.
func ReadHeld(root string) ([]Entry, error) {
	return Reader{Root: root}.since(context.Background(), time.Time{}, readBrief, heldDir)
}

// Reader reads the records of a studio, of which there may be ten thousands: it is ended
// by a context, and tells that it gets on.
type Reader struct {
	Root string
	Beat func() // hears of every file that was looked at; nil for none

	// Passed hears of records that do not count where they lie, and why; nil for none.
	Passed func(path string, why error)
}

// Read is the function Read, until ctx ends.
func (r Reader) Read(ctx context.Context, since time.Time) ([]Entry, error) {
	return r.since(ctx, since, readRecord, outboxDir, heldDir)
}

func (r Reader) beat() {
	if r.Beat != nil {
		r.Beat()
	}
}

// one reads a record by read, and tells whether there is one.
func (r Reader) one(studio *os.Root, path string, read readFunc) (Entry, bool) {
	r.beat()
	e, err := read(studio, path)
	if err != nil && !errors.Is(err, errNoRecord) && r.Passed != nil {
		r.Passed(path, err)
	}
	return e, err == nil
}

func (r Reader) since(ctx context.Context, since time.Time, read readFunc, dirs ...string) ([]Entry, error) {
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
		if e, ok := r.one(studio, f.path, read); ok && !e.Record.Times.Finished.Before(since) {
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

// Key is the same for two orders that come to the same print in the same folder: the
// drop folder's name and the order's identity, see package order.
func Key(r *record.Record) string { return folderOf(r) + "\n" + r.Identity }

// folderOf is a drop folder's name as records have it: a byte that is not UTF-8 is none
// that JSON can hold.
func folderOf(r *record.Record) string { return string([]rune(r.Order.Folder)) }

func openStudio(root string) (*os.Root, error) {
	studio, err := os.OpenRoot(root)
	if err != nil {
		return nil, fmt.Errorf("the studio cannot be read: %w; check its path and permissions", err)
	}
	return studio, nil
}

// folders are the folders in dir that are named after drop folders.
func folders(studio *os.Root, dir string) []string {
	var names []string
	for _, d := range list(studio, dir) {
		report := dir == outboxDir && strings.EqualFold(d.Name(), morningDir)
		if d.IsDir() && !report {
			names = append(names, d.Name())
		}
	}
	return names
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
		for _, folder := range folders(studio, dir) {
			r.beat()
			for _, d := range list(studio, dir+"/"+folder) {
				if !d.Type().IsRegular() || !strings.HasSuffix(d.Name(), recordSuffix) {
					continue
				}
				if err := ctx.Err(); err != nil {
					return nil, err
				}
				path := dir + "/" + folder + "/" + d.Name()
				info, err := studio.Lstat(path)
				if err != nil || !info.Mode().IsRegular() || info.ModTime().Before(since.Add(-clockSlack)) {
					continue // what an older file tells of is older still
				}
				files = append(files, recordFile{path, info.ModTime(), info.Size()})
			}
		}
	}
	return files, nil
}

// errNoRecord is any file that is no print record.
var errNoRecord = errors.New("no print record")

// readFunc reads a record that can be relied on, where it lies.
type readFunc func(studio *os.Root, path string) (Entry, error)

func readRecord(studio *os.Root, path string) (Entry, error) {
	return readBy(record.Decode, studio, path)
}

// readBrief is readRecord without the plan: see [record.DecodeBrief].
func readBrief(studio *os.Root, path string) (Entry, error) {
	return readBy(record.DecodeBrief, studio, path)
}

func readBy(decode func([]byte) (*record.Record, error), studio *os.Root, path string) (Entry, error) {
	data, err := readSmall(studio, path, maxRecordBytes)
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

// whole tells a record that can be relied on from one that only has the right
// first line.
func whole(r *record.Record) bool {
	switch r.Status {
	case record.Ready, record.ReadyWithCautions:
		return r.Plan != nil && r.Print != nil && r.Print.File != ""
	case record.Held:
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

// readSmall reads a regular file of at most limit bytes.
func readSmall(studio *os.Root, path string, limit int64) ([]byte, error) {
	info, err := studio.Lstat(path) // before Open, which would wait on a pipe
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
