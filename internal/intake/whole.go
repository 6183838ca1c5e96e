package intake

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"go.uber.org/zap"
	"golang.org/x/sys/unix"

	"sizewright/internal/photo"
	"sizewright/internal/system"
)

// errOther: there is another file in this place, or the file has changed. The next look
// sees it.
var errOther = errors.New("it has changed since it was seen")

// closer takes the closer look at a file that is steady. It opens it to read,
// as little of it as tells whether its end is there.
type closer struct {
	drop   string
	limits photo.Limits
	log    *zap.Logger
	told   bool // it was logged that there are no leases

	lease func(fd int) error      // nobodyWrites outside tests
	kind  func(fd int) fileSystem // kindOfFile outside tests
}

func newCloser(drop string, limits photo.Limits, log *zap.Logger) *closer {
	return &closer{drop: drop, limits: limits, log: log, lease: nobodyWrites, kind: kindOfFile}
}

// StillWhole looks closely at a candidate once more: nil if it is still the
// file that was offered, no process that the system knows of has it open for
// writing, and its end is there. Where the system does not know, what was zeros
// still is. It is for a consumer that kept a candidate for hours before it takes
// it. Zero limits mean photo.DefaultLimits.
func StillWhole(drop string, c Candidate, limits photo.Limits) error {
	seen, err := newCloser(drop, cmp.Or(limits, photo.DefaultLimits()), zap.NewNop()).look(c)
	if err == nil && seen != nil && c.blanks == nil {
		return errOther // the system knew when it was offered, and does not now
	}
	return err
}

// look gives no error for a file that is whole, and else why it is not taken yet:
// errOpen, errOther, a *photo.Unended, or what the system said.
//
// Where nobody knows who writes to it, blanks are what of it was zeros, and it is
// whole as far as this look can tell: another must find them as they were, which is
// what this one has done if c has blanks already. Else they are nil.
func (l *closer) look(c Candidate) (*blanks, error) {
	fd, err := l.open(c)
	if err != nil {
		return nil, err
	}
	f := os.NewFile(uintptr(fd), filepath.Join(l.drop, c.Folder, c.Name))
	defer f.Close()
	kind := l.kind(fd)
	known, err := l.nobodyWrites(fd, kind)
	if err != nil {
		return nil, err
	}
	if !known {
		system.DropCache(f)
	}
	if err := photo.Ended(onDisk{f, kind}, c.Size, l.limits); err != nil {
		return nil, err
	}
	var seen *blanks
	if !known {
		if seen, err = l.blanks(f, c); err != nil {
			return nil, err
		}
	}
	// Opening and reading made a share ask its server anew.
	return seen, l.same(c, func(st *unix.Stat_t) error { return unix.Fstat(fd, st) })
}

// blanks are those of a candidate at the first look, and the same ones at the next.
func (l *closer) blanks(f *os.File, c Candidate) (*blanks, error) {
	switch {
	case c.Size > l.limits.MaxFileBytes:
		return &blanks{}, nil // it will be held unread
	case c.blanks == nil:
		return blanksOf(f, c.Size)
	}
	still, err := c.blanks.still(f)
	if err == nil && !still {
		err = errOther
	}
	return c.blanks, err
}

// open opens a candidate, having made sure that it is a file and nothing that
// opening would wake: a pipe, a device. Nothing is reached through a link, even
// if one is put there now.
func (l *closer) open(c Candidate) (fd int, err error) {
	dir, err := unix.Open(filepath.Join(l.drop, c.Folder), system.OpenPath|unix.O_DIRECTORY|unix.O_NOFOLLOW|unix.O_CLOEXEC, 0)
	if err != nil {
		return -1, openFault(err)
	}
	defer unix.Close(dir)
	err = l.same(c, func(st *unix.Stat_t) error { return unix.Fstatat(dir, c.Name, st, unix.AT_SYMLINK_NOFOLLOW) })
	if err != nil {
		return -1, err
	}
	// O_NONBLOCK: not to wait for a program that holds a lease of its own, such
	// as a file server for a client that is writing.
	fd, err = unix.Openat(dir, c.Name, unix.O_RDONLY|unix.O_NOFOLLOW|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	var st unix.Stat_t
	if err == unix.EACCES && unix.Fstatat(dir, c.Name, &st, unix.AT_SYMLINK_NOFOLLOW) == nil {
		return -1, mayNotRead(l.drop, st)
	}
	if err != nil {
		return -1, openFault(err)
	}
	if err := l.same(c, func(st *unix.Stat_t) error { return unix.Fstat(fd, st) }); err != nil {
		unix.Close(fd)
		return -1, err
	}
	return fd, nil
}

func openFault(err error) error {
	switch err {
	case unix.ENOENT, unix.ENOTDIR, unix.ELOOP, unix.ENXIO:
		return errOther
	case unix.EWOULDBLOCK:
		return errOpen
	}
	return fmt.Errorf("it cannot be opened (%w)", err)
}

// same is nil if what is there is the candidate, in the state it was seen in.
func (l *closer) same(c Candidate, stat func(*unix.Stat_t) error) error {
	var st unix.Stat_t
	if err := stat(&st); err != nil {
		return openFault(err)
	}
	if st.Mode&unix.S_IFMT != unix.S_IFREG || st.Nlink > 1 || st.Size != c.Size || !time.Unix(st.Mtim.Unix()).Equal(c.ModTime) {
		return errOther
	}
	return nil
}

// nobodyWrites returns errOpen if somebody writes. known reports whether the system
// knows; if not, that is logged once.
func (l *closer) nobodyWrites(fd int, kind fileSystem) (known bool, err error) {
	known, err = asked(fd, kind, l.lease)
	if !errors.Is(err, errBlind) {
		return known, err
	}
	if !l.told {
		l.told = true
		l.log.Warn("whether a program still has a dropped file open for writing cannot be known here; such files rest for longer and are looked at twice before they are taken; "+
			"if they are on a disk of this machine, give sizewright CAP_LEASE, as its systemd unit does", zap.Error(err))
	}
	return false, nil
}

// asked asks for a lease where the answer means something. Its error is errBlind, with
// the reason, where the system does not know.
func asked(fd int, kind fileSystem, lease func(int) error) (known bool, err error) {
	elsewhere := errors.Join(errBlind, fmt.Errorf("a share (%s)", kind.share))
	if kind.noLease {
		return false, elsewhere
	}
	if err := lease(fd); err != nil {
		return err == errOpen, err
	}
	if kind.share != "" {
		return false, elsewhere // nobody on this machine
	}
	return true, nil
}

// Writers is what the system says of who has a file open for writing.
type Writers int

const (
	Unknown Writers = iota // it does not say: a share, or no right to ask
	Nobody
	Somebody
)

// BrokenOff looks at files closely, once and without waiting, and gives those that nothing
// will be made of as they are: those that are not whole and rest, since their modification
// time, and those that may not be read or moved. A file rests when nobody has it open for
// writing or, where the system does not know, when it has not changed for Options.Settle.
// One that is open rests after Options.StalledAfter.
func BrokenOff(drop string, files []Candidate, o Options) []LeftAlone {
	o = o.withDefaults(drop)
	closer := newCloser(drop, o.Limits, o.Log)
	files, left := movable(drop, files)
	for _, c := range files {
		c.blanks = &blanks{} // one look compares nothing
		_, err := closer.look(c)
		s := sighting{Candidate: c, since: c.ModTime, why: err}
		if err != nil && err != errOther && (forbidden(err) || s.rests(drop, o)) {
			left = append(left, s.unfinished())
		}
	}
	return left
}

// rests tells of a file that is not whole whether nobody is about to complete it.
func (s *sighting) rests(drop string, o Options) bool {
	steady := o.Now().Sub(s.changed)
	if s.why == errOpen {
		return steady >= o.StalledAfter
	}
	return steady >= o.Settle || WritersOf(filepath.Join(drop, s.Folder, s.Name)) == Nobody
}

// WritersOf asks who has the file at path open for writing, or mapped to be written.
// A file that is not there, or may not be opened, is Unknown.
func WritersOf(path string) Writers {
	fd, err := unix.Open(path, unix.O_RDONLY|unix.O_NOFOLLOW|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		if openFault(err) == errOpen {
			return Somebody
		}
		return Unknown
	}
	defer unix.Close(fd)
	known, err := asked(fd, kindOfFile(fd), nobodyWrites)
	switch {
	case err == errOpen:
		return Somebody
	case known:
		return Nobody
	}
	return Unknown
}

// onDisk is a file that knows which of its parts were never written.
type onDisk struct {
	*os.File
	kind fileSystem
}

// Hole makes it a photo.Sparse. A file system that knows no holes finds none.
func (d onDisk) Hole(at, n int64) bool {
	if d.kind.zerosAreHoles {
		return false
	}
	hole, err := d.Seek(at, system.SeekHole)
	return err == nil && hole < at+n
}

// Unfinished is a hold of kind [photo.Unfinished] where the file at path, of that name, is
// not whole: by the question that a dropped file is asked before it is taken. It is nil for
// what cannot be opened, which others say.
func Unfinished(path, name string, limits photo.Limits) error {
	f, err := os.OpenFile(path, os.O_RDONLY|unix.O_NOFOLLOW|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return nil
	}
	var u *photo.Unended
	if err := photo.Ended(onDisk{f, kindOfFile(int(f.Fd()))}, info.Size(), limits); errors.As(err, &u) {
		return u.Hold(name)
	}
	return nil
}
