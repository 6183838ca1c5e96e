package report

import (
	"cmp"
	"io/fs"
	"os"
	"sync"
	"time"

	"sizewright/internal/record"
)

// Album keeps the small pictures of pages for the next time the same night is told,
// which is after every run of work. The zero Album is empty and ready.
type Album struct {
	mu            sync.Mutex
	kept, earlier map[negative]*thumb // since the last page was begun, and before that
}

// negative is what a small picture was made from: a file, as it was, and how.
type negative struct {
	path  string
	size  int64
	mod   time.Time
	side  int // px; 0 for a cut-out
	limit int // bytes
}

// begin starts a page, and forgets what the one before had no use for: an album is
// no larger than the pictures of two pages.
func (a *Album) begin() {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.kept, a.earlier = map[negative]*thumb{}, a.kept
}

// Prepare makes an entry's small pictures now, so that the next page has them: a
// daemon is not to be kept from stopping by a night's worth of them.
func (a *Album) Prepare(root string, e record.Entry) {
	studio, err := os.OpenRoot(root)
	if err != nil {
		return // the page will say so
	}
	defer studio.Close()
	newCard(e, BothUnits, pictures{studio, a})
}

// get gives the picture made of n, or has it made.
func (a *Album) get(n negative, develop func() (*thumb, error)) (t *thumb, err error) {
	a.mu.Lock()
	t = cmp.Or(a.kept[n], a.earlier[n])
	a.mu.Unlock()
	if t == nil {
		if t, err = develop(); err != nil {
			return nil, err
		}
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.kept == nil {
		a.kept = map[negative]*thumb{}
	}
	a.kept[n] = t
	return t, nil
}

// pictures are the small pictures of a studio's files.
type pictures struct {
	studio *os.Root
	album  *Album
}

func (p pictures) thumbnail(path string, side, limit int) (*thumb, error) {
	return p.of(path, negative{side: side, limit: limit}, func() (*thumb, error) { return thumbnail(p.studio, path, side, limit) })
}

func (p pictures) cutOut(path string) (*thumb, error) {
	return p.of(path, negative{limit: cutBytes}, func() (*thumb, error) { return cutOut(p.studio, path) })
}

func (p pictures) of(path string, n negative, develop func() (*thumb, error)) (*thumb, error) {
	info, err := p.studio.Lstat(path)
	if err != nil {
		return nil, err
	}
	if info.Mode()&fs.ModeType != 0 {
		return develop() // which says what is wrong
	}
	n.path, n.size, n.mod = path, info.Size(), info.ModTime()
	return p.album.get(n, develop)
}
