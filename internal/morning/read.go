package morning

import (
	"cmp"
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
	return read(root, since, outboxDir, heldDir)
}

// ReadHeld is [Read] of every record of what was not made.
func ReadHeld(root string) ([]Entry, error) { return read(root, time.Time{}, heldDir) }

func read(root string, since time.Time, dirs ...string) ([]Entry, error) {
	studio, err := openStudio(root)
	if err != nil {
		return nil, err
	}
	defer studio.Close()
	var entries []Entry
	for _, f := range recordFiles(studio, dirs...) {
		if f.modified.Before(since.Add(-clockSlack)) {
			continue // what it tells of is older still
		}
		if e, err := readRecord(studio, f.path); err == nil && !e.Record.Times.Finished.Before(since) {
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
func Key(r *record.Record) string { return r.Order.Folder + "\n" + r.Identity }

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

// recordFiles are the files in the folders of dirs that may be records.
func recordFiles(studio *os.Root, dirs ...string) []recordFile {
	var files []recordFile
	for _, dir := range dirs {
		for _, folder := range folders(studio, dir) {
			for _, d := range list(studio, dir+"/"+folder) {
				if !d.Type().IsRegular() || !strings.HasSuffix(d.Name(), recordSuffix) {
					continue
				}
				path := dir + "/" + folder + "/" + d.Name()
				if info, err := studio.Lstat(path); err == nil && info.Mode().IsRegular() {
					files = append(files, recordFile{path, info.ModTime(), info.Size()})
				}
			}
		}
	}
	return files
}

// errNoRecord is any file that is no print record.
var errNoRecord = errors.New("no print record")

// readRecord reads a record that can be relied on, where it lies.
func readRecord(studio *os.Root, path string) (Entry, error) {
	data, err := readSmall(studio, path, maxRecordBytes)
	if err != nil {
		return Entry{}, errNoRecord
	}
	r, err := record.Decode(data)
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
