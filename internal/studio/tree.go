package studio

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"golang.org/x/sys/unix"
)

// tree is the studio's directory as seen from its root: every path given to
// its methods is relative to that root, slash-separated, and followed through
// no link. It is the one place that changes the disk, and tells each change to
// before, so that tests can stop the world between any two of them.
type tree struct {
	root *os.File

	before   func(change) error // nil outside tests; the directories concerned are open by then
	opening  func(rel string)   // nil outside tests; a path is about to be followed to its directory
	linkOnly bool               // tests: behave as on a file system without RENAME_NOREPLACE
	noLink   bool               // tests: and as if files were another user's, of which no link may be made
}

// change is one alteration about to be made.
type change struct {
	op       string // mkdir, create, write, sync, syncdir, rename, link, symlink, unlink or rmdir
	from, to string // to only for rename and link
}

func (t *tree) step(op, from, to string) error {
	if t.before == nil {
		return nil
	}
	return t.before(change{op, from, to})
}

// Permissions are the umask's to narrow: a studio on a share is often a group's.
const (
	dirMode  = 0o777
	fileMode = 0o666
)

// openAt opens one name inside an open directory, never through a link.
// O_NONBLOCK keeps a pipe that took a file's place from stopping us; it means
// nothing to files and directories.
func openAt(dir *os.File, name string, flags int, mode uint32) (*os.File, error) {
	flags |= unix.O_NOFOLLOW | unix.O_CLOEXEC | unix.O_NONBLOCK
	var fd int
	err := again(func() (err error) {
		fd, err = unix.Openat(int(dir.Fd()), name, flags, mode)
		return err
	})
	if err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(fd), name), nil
}

// openDir opens a directory, walking down from the root one name at a time.
func (t *tree) openDir(rel string) (*os.File, error) {
	const flags = unix.O_RDONLY | unix.O_DIRECTORY
	if t.opening != nil {
		t.opening(rel)
	}
	dir, err := openAt(t.root, ".", flags, 0)
	if err != nil {
		return nil, fault(rel, "cannot open the studio", err)
	}
	for name := range strings.SplitSeq(rel, "/") {
		if name == "" || name == "." {
			continue
		}
		next, err := openAt(dir, name, flags, 0)
		dir.Close()
		if err != nil {
			return nil, fault(rel, "cannot open the directory", err)
		}
		dir = next
	}
	return dir, nil
}

// in calls do with the open parent directory of rel and rel's last name.
func (t *tree) in(rel string, do func(dir *os.File, name string) error) error {
	dir, err := t.openDir(path.Dir(rel))
	if err != nil {
		return err
	}
	defer dir.Close()
	return do(dir, path.Base(rel))
}

func (t *tree) lstat(rel string) (st unix.Stat_t, err error) {
	err = t.in(rel, func(dir *os.File, name string) error {
		err := again(func() error {
			return unix.Fstatat(int(dir.Fd()), name, &st, unix.AT_SYMLINK_NOFOLLOW)
		})
		if err != nil {
			return fault(rel, "cannot look at it", err)
		}
		return nil
	})
	return st, err
}

// list gives the names in a directory, sorted; a missing directory has none.
// Names only: where a file system does not say what kind a name is, os would
// look it up relative to the process, and so elsewhere.
func (t *tree) list(rel string) ([]string, error) {
	dir, err := t.openDir(rel)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	names, err := dir.Readdirnames(-1)
	if err != nil {
		return nil, fault(rel, "cannot read the directory", err)
	}
	slices.Sort(names)
	return names, nil
}

func (t *tree) read(rel string) (data []byte, err error) {
	err = t.in(rel, func(dir *os.File, name string) error {
		f, err := openAt(dir, name, unix.O_RDONLY, 0)
		if err != nil {
			return fault(rel, "cannot open it", err)
		}
		defer f.Close()
		if data, err = io.ReadAll(f); err != nil {
			return fault(rel, "cannot read it", err)
		}
		return nil
	})
	return data, err
}

// ensureDir makes a directory unless it is there, and makes its name durable
// either way: whoever made it may have been killed before doing so.
func (t *tree) ensureDir(rel string) error {
	if err := t.mkdir(rel); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	dir, err := t.openDir(rel) // refuses a file or a link of that name
	if err != nil {
		return err
	}
	dir.Close()
	return t.syncDir(path.Dir(rel))
}

// ensureDirs is ensureDir for each directory on a path, but for the first: where that is
// gone, somebody has taken it away, and may bring it back.
func (t *tree) ensureDirs(rel string) error {
	made, below, _ := strings.Cut(rel, "/")
	for name := range strings.SplitSeq(below, "/") {
		made = path.Join(made, name)
		if err := t.ensureDir(made); err != nil {
			return err
		}
	}
	return nil
}

func (t *tree) mkdir(rel string) error {
	return t.in(rel, func(dir *os.File, name string) error {
		if err := t.step("mkdir", rel, ""); err != nil {
			return err
		}
		err := again(func() error { return unix.Mkdirat(int(dir.Fd()), name, dirMode) })
		if err != nil {
			return fault(rel, "cannot make the directory", err)
		}
		return nil
	})
}

func (t *tree) unlink(rel string) error { return t.remove("unlink", rel, 0) }

// rmdir removes an empty directory; it cannot remove one that holds anything,
// and that is what keeps a stray original from going down with its claim.
func (t *tree) rmdir(rel string) error { return t.remove("rmdir", rel, unix.AT_REMOVEDIR) }

func (t *tree) remove(op, rel string, flags int) error {
	return t.in(rel, func(dir *os.File, name string) error {
		if err := t.step(op, rel, ""); err != nil {
			return err
		}
		err := again(func() error { return unix.Unlinkat(int(dir.Fd()), name, flags) })
		if err != nil {
			return fault(rel, "cannot remove it", err)
		}
		return nil
	})
}

// again repeats a system call that a signal interrupted.
func again(call func() error) error {
	for {
		if err := call(); !errors.Is(err, unix.EINTR) {
			return err
		}
	}
}
