package studio

import (
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"

	"sizewright/internal/system"
)

// move takes a file out of a claim: it renames from to to, and fails with
// fs.ErrExist when to is taken, whatever has taken it. The move is not durable
// until both directories are synced.
func (t *tree) move(from, to string) error {
	return t.inBoth(from, to, func(fromDir, toDir *os.File, fromName, toName string) error {
		err := t.renameNoReplace(fromDir, toDir, fromName, toName, from, to)
		if noSuchCall(err) {
			err = t.moveByLink(fromDir, toDir, fromName, toName, from, to)
		}
		return err
	})
}

func (t *tree) renameNoReplace(fromDir, toDir *os.File, fromName, toName, from, to string) error {
	if t.linkOnly {
		return unix.ENOSYS
	}
	if err := t.step("rename", from, to); err != nil {
		return err
	}
	err := again(func() error {
		return system.RenameNoReplace(int(fromDir.Fd()), fromName, int(toDir.Fd()), toName)
	})
	if err != nil {
		return fault(from, "cannot be moved to "+show(to), err)
	}
	return nil
}

// noSuchCall reports that the kernel (ENOSYS) or the file system (EINVAL or
// ENOTSUP) cannot rename without replacing.
func noSuchCall(err error) bool {
	return errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP)
}

// moveByLink moves in two steps. A crash between them leaves one file under
// two names; finding both to be the same file, the next move takes the second
// step. It is safe only because from lies in a claim, where nobody else could
// put another file in its place between the steps.
func (t *tree) moveByLink(fromDir, toDir *os.File, fromName, toName, from, to string) error {
	if err := t.step("link", from, to); err != nil {
		return err
	}
	err := again(func() error {
		if t.noLink {
			return unix.EPERM
		}
		return unix.Linkat(int(fromDir.Fd()), fromName, int(toDir.Fd()), toName, 0)
	})
	switch {
	case errors.Is(err, unix.EEXIST) && t.same(from, to):
	case errors.Is(err, unix.EPERM):
		return t.moveByMark(fromDir, toDir, fromName, toName, from, to)
	case err != nil:
		return fault(from, "cannot be moved to "+show(to), err)
	}
	return t.discard(from)
}

// moveByMark moves another user's file to which this process may make no link: Linux
// protects those that it may not write to (protected_hardlinks of proc_sys_fs(5)). A mark
// takes the name, if that is free, and the file its place. The mark is a symbolic link
// that leads nowhere and holds the file's number, so that after a crash the next move
// knows it. What replaced a mark between the two steps would itself be replaced: so this
// is for where nothing else is left.
func (t *tree) moveByMark(fromDir, toDir *os.File, fromName, toName, from, to string) error {
	st, err := t.lstat(from)
	if err != nil {
		return err
	}
	if err := t.step("symlink", from, to); err != nil {
		return err
	}
	mark := fmt.Sprintf("sizewright-moves-%d", st.Ino)
	err = again(func() error { return unix.Symlinkat(mark, int(toDir.Fd()), toName) })
	if errors.Is(err, unix.EEXIST) && linkAt(toDir, toName) == mark {
		err = nil
	}
	if err != nil {
		return fault(from, "cannot be moved to "+show(to), err)
	}
	if err := t.step("rename", from, to); err != nil {
		return err
	}
	err = again(func() error {
		return unix.Renameat(int(fromDir.Fd()), fromName, int(toDir.Fd()), toName)
	})
	if err != nil {
		return fault(from, "cannot be moved to "+show(to), err)
	}
	return nil
}

// linkAt is what a symbolic link holds, "" if there is none.
func linkAt(dir *os.File, name string) string {
	var buf [64]byte // more than any mark's
	n, err := unix.Readlinkat(int(dir.Fd()), name, buf[:])
	if err != nil {
		return ""
	}
	return string(buf[:n])
}

// same reports whether two names are one file.
func (t *tree) same(a, b string) bool {
	sa, errA := t.lstat(a)
	sb, errB := t.lstat(b)
	return errA == nil && errB == nil && sa.Dev == sb.Dev && sa.Ino == sb.Ino
}

// rename is rename(2): it replaces what is at to. It is for targets that
// nobody but this process can have put there, and for generated files that
// are meant to be replaced.
func (t *tree) rename(from, to string) error {
	return t.inBoth(from, to, func(fromDir, toDir *os.File, fromName, toName string) error {
		if err := t.step("rename", from, to); err != nil {
			return err
		}
		err := again(func() error {
			return unix.Renameat(int(fromDir.Fd()), fromName, int(toDir.Fd()), toName)
		})
		if err != nil {
			return fault(from, "cannot be moved to "+show(to), err)
		}
		return nil
	})
}

func (t *tree) inBoth(from, to string, do func(fromDir, toDir *os.File, fromName, toName string) error) error {
	return t.in(from, func(fromDir *os.File, fromName string) error {
		return t.in(to, func(toDir *os.File, toName string) error {
			return do(fromDir, toDir, fromName, toName)
		})
	})
}
