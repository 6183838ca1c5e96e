package report

import (
	"context"
	"errors"
	"image"
	"io/fs"
	"os"
	"strings"
	"sync"
	"time"

	"sizewright/internal/hold"
	"sizewright/internal/record"
)

// Album keeps the small pictures of pages for the next time the same night is told,
// which is after every run of work. The zero Album is empty and ready.
type Album struct {
	mu            sync.Mutex
	kept, earlier map[negative]picture // since the last page was begun, and before that

	looking sync.Mutex // held while an original is decoded: each may take as much memory as an order
}

// negative is what a small picture was made from: a file, as it was, and how.
type negative struct {
	path  string
	size  int64
	mod   time.Time
	side  int // px; below 0 for a cut-out
	limit int // bytes
}

// picture is what became of a negative: a thumb, or what is wrong with the file.
type picture struct {
	thumb *thumb
	fault error
}

// begin starts a page, and forgets what the one before had no use for: an album is
// no larger than the pictures of two pages.
func (a *Album) begin() {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.kept, a.earlier = map[negative]picture{}, a.kept
}

// Prepare makes an entry's small pictures now, so that the next page has them: a
// daemon is not to be kept from stopping by a night's worth of them.
func (a *Album) Prepare(m Making, e record.Entry) {
	studio, err := os.OpenRoot(m.Root)
	if err != nil {
		return // the page will say so
	}
	defer studio.Close()
	newCard(e, BothUnits, pictures{context.Background(), studio, a, m.Look, nil})
}

// get gives the picture made of n, or has it made. A file that is no picture is not read
// again for each page; what else goes wrong is tried anew.
func (a *Album) get(n negative, develop func() (*thumb, error)) (*thumb, error) {
	a.mu.Lock()
	p, known := a.kept[n]
	if !known {
		p, known = a.earlier[n]
	}
	a.mu.Unlock()
	if !known {
		p.thumb, p.fault = develop()
		var bad *hold.Hold
		if p.fault != nil && !errors.As(p.fault, &bad) {
			return nil, p.fault
		}
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.kept == nil {
		a.kept = map[negative]picture{}
	}
	a.kept[n] = p
	return p.thumb, p.fault
}

// pictures are the small pictures of a studio's files.
type pictures struct {
	ctx    context.Context // of the page
	studio *os.Root
	album  *Album
	look   Look    // nil: what was held is not shown
	latest *latest // of one order, nil for none
}

// latest is the file that was read last: several small pictures are made of one.
type latest struct {
	path string
	img  image.Image
	err  error
}

// read gives a preview, or an original in held/, with few pixels.
func (p pictures) read(path string) (image.Image, error) {
	l := p.latest
	if l == nil {
		l = &latest{}
	}
	if l.path == path {
		return l.img, l.err
	}
	l.path = path
	if strings.HasPrefix(path, "held/") {
		l.img, l.err = p.original(path)
	} else {
		l.img, l.err = readPreview(p.studio, path)
	}
	if l.err == nil {
		l.img = reduced(l.img)
	}
	return l.img, l.err
}

func (p pictures) thumbnail(path string, side, limit int) (*thumb, error) {
	return p.of(path, negative{side: side, limit: limit}, func() (*thumb, error) {
		img, err := p.read(path)
		if err != nil {
			return nil, err
		}
		return fitted(img, path, side, limit)
	})
}

func (p pictures) cutOut(path string, side int) (*thumb, error) {
	return p.of(path, negative{side: -side, limit: cutBytes}, func() (*thumb, error) { return cutOut(p.studio, path, side) })
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
