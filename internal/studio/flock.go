package studio

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// lockFile takes the flock(2) of a small file, and gives nil when somebody else
// has it. how is LOCK_EX or LOCK_SH, flags O_CREAT or none. Closing the file
// lets go of it, and so does the system when the process dies.
//
// Such files are removed by whoever holds their lock exclusively. The file
// opened may therefore be one already removed, and locking it would exclude
// nobody: only one that still has its name counts.
//
// LOCK_SH asks only to read the file: whoever may look at the studio may ask who is at
// work there. (LOCK_EX needs one open for writing on NFS, see flock(2).)
func (t *tree) lockFile(rel string, flags, how int) (*os.File, error) {
	access := unix.O_RDWR
	if how == unix.LOCK_SH {
		access = unix.O_RDONLY
	}
	for range 1000 {
		var f *os.File
		err := t.in(rel, func(dir *os.File, name string) (err error) {
			f, err = openAt(dir, name, access|flags, fileMode)
			return err
		})
		if err != nil {
			return nil, fault(rel, "cannot open the lock", err)
		}
		err = again(func() error { return unix.Flock(int(f.Fd()), how|unix.LOCK_NB) })
		if err != nil {
			f.Close()
			if errors.Is(err, unix.EWOULDBLOCK) {
				return nil, nil
			}
			return nil, fault(rel, "cannot be locked", err)
		}
		ours, err := t.isAt(f, rel)
		if ours {
			return f, nil
		}
		f.Close()
		if err != nil {
			return nil, err
		}
	}
	return nil, fault(rel, "cannot be locked", errors.New("it is never the same file twice; put the studio on another file system"))
}

// isAt tells whether an open file is the one called rel.
func (t *tree) isAt(f *os.File, rel string) (bool, error) {
	st, err := t.lstat(rel)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	var own unix.Stat_t
	if err := unix.Fstat(int(f.Fd()), &own); err != nil {
		return false, fault(rel, "cannot look at it", err)
	}
	return st.Dev == own.Dev && st.Ino == own.Ino, nil
}
