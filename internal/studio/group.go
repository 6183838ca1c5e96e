package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/sys/unix"

	"sizewright/internal/remedy"
	"sizewright/internal/system"
)

// A studio can be a group's: people, and the service that works for them. Then whoever
// may write to a directory may move and delete what lies in it, whoever made it, so
// all rests on the directories. Each has the group, is the group's to write, and has
// the setgid bit, by which all that is made in it has the group as well, and a
// directory made in it the bit (inode(7)).
const (
	groupDirMode  = 0o770 | unix.S_ISGID
	groupFileMode = 0o660
)

// errNotItsOwn is why permissions cannot be given.
var errNotItsOwn = errors.New("only its owner, a member of the group, or root may do that: run it as root")

// OpenToGroup has the studio at dir be a group's, with all directories in it. Files
// stay as they are, but for the configuration, the lock and the format: no person need change
// another's. Nothing inside is followed through a link. It may be called again, for a
// studio whose permissions were changed by hand.
//
// Where inherits is false the file system keeps no default ACLs (acl(5)): then the
// umask of whoever makes a drop folder can keep the group out of it.
func OpenToGroup(dir string, gid int) (inherits bool, err error) {
	s, err := openRoot(dir)
	if err != nil {
		return false, err
	}
	defer s.Close()
	inherits = true
	for _, top := range []string{".", outboxDir, heldDir, originalsDir, printedDir, stateDir} {
		if err := s.openDirsToGroup(top, gid, &inherits); err != nil {
			return false, err
		}
	}
	for _, name := range []string{configName, lockName, formatName} {
		if err := s.openFileToGroup(name, gid); err != nil {
			return false, err
		}
	}
	// By drop/ a group's studio is known: last, so that half of this is not taken for all.
	return inherits, s.openDirsToGroup(dropDir, gid, &inherits)
}

// openDirsToGroup gives the group a directory, and all in it but for the root's, which
// may hold what is not the studio's.
func (s *Studio) openDirsToGroup(rel string, gid int, inherits *bool) error {
	dir, err := s.tree.openDir(rel)
	if err != nil {
		return err
	}
	defer dir.Close()
	switch err := inheritFrom(dir, gid); {
	case errors.Is(err, unix.ENOTSUP):
		*inherits = false
	case err != nil:
		return groupFault(rel, err)
	}
	if rel == "." {
		return nil
	}
	names, err := dir.Readdirnames(-1)
	if err != nil {
		return fault(rel, "cannot read the directory", err)
	}
	for _, name := range names {
		st, err := s.tree.lstat(rel + "/" + name)
		if errors.Is(err, fs.ErrNotExist) || err == nil && st.Mode&unix.S_IFMT != unix.S_IFDIR {
			continue
		}
		if err == nil {
			err = s.openDirsToGroup(rel+"/"+name, gid, inherits)
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) { // claims come and go
			return err
		}
	}
	return nil
}

// inheritFrom gives the group one directory and what will be made in it. Its error is
// ENOTSUP if that is all but for default ACLs.
func inheritFrom(dir *os.File, gid int) error {
	if err := giveTo(dir, gid, groupDirMode); err != nil {
		return err
	}
	// A default ACL stands in for the umask of whoever makes something here.
	return system.SetDefaultACL(int(dir.Fd()))
}

// giveTo gives the group an open file or directory, with a mode.
func giveTo(f *os.File, gid int, mode uint32) error {
	fd := int(f.Fd())
	if err := unix.Fchown(fd, -1, gid); err != nil {
		return err
	}
	if err := unix.Fchmod(fd, mode); err != nil {
		return err
	}
	var st unix.Stat_t
	if err := unix.Fstat(fd, &st); err != nil {
		return err
	}
	if uint32(st.Mode)&0o7777 != mode { // the setgid bit is kept back from those outside the group
		return unix.EPERM
	}
	return nil
}

func (s *Studio) openFileToGroup(rel string, gid int) error {
	return s.tree.in(rel, func(dir *os.File, name string) error {
		f, err := openAt(dir, name, unix.O_RDONLY, 0)
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return groupFault(rel, err)
		}
		defer f.Close()
		var st unix.Stat_t
		if err := unix.Fstat(int(f.Fd()), &st); err != nil {
			return groupFault(rel, err)
		}
		// A file with a second name may be one from elsewhere, and not to be given away.
		if st.Mode&unix.S_IFMT != unix.S_IFREG || st.Nlink > 1 {
			return fault(rel, "cannot be given to the group", errors.New("it is no plain file with one name: move it away"))
		}
		return groupFault(rel, giveTo(f, gid, groupFileMode))
	})
}

func groupFault(rel string, err error) error {
	if errors.Is(err, unix.EPERM) || errors.Is(err, unix.EACCES) {
		err = errNotItsOwn
	}
	if err == nil {
		return nil
	}
	return fault(rel, "cannot be given to the group", err)
}

// GroupMask is the file mode creation mask (umask(2)) for a process at work in the
// studio at dir, if that is a group's: what is made there is for those whom its drop
// directory lets in, whatever the maker's own mask. ok is false of a studio that is one
// person's, and where there is none.
func GroupMask(dir string) (mask int, ok bool) {
	var st unix.Stat_t
	if err := unix.Lstat(filepath.Join(dir, dropDir), &st); err != nil || !ofGroup(st) {
		return 0, false
	}
	return int(^uint32(st.Mode) & 0o777), true
}

// ofGroup reports whether a group shares a directory.
func ofGroup(st unix.Stat_t) bool {
	const want = unix.S_IFDIR | unix.S_ISGID | 0o070
	return st.Mode&want == want
}

// GroupFaults says of each directory of a group's studio what keeps people of the group
// or the service from working in it: another group, no leave to write, no setgid
// bit, or the sticky bit, with which only a file's owner may move it.
func (s *Studio) GroupFaults() (faults []error, err error) {
	home, err := s.tree.lstat(dropDir)
	if err != nil || !ofGroup(home) {
		return nil, err
	}
	dirs := []string{".", dropDir, outboxDir, heldDir, originalsDir, printedDir, stateDir, claimsDir, tempDir, interruptedDir}
	for _, top := range []string{dropDir, outboxDir, heldDir, originalsDir, printedDir} {
		names, err := s.tree.list(top)
		if err != nil {
			return nil, err
		}
		for _, name := range names {
			dirs = append(dirs, top+"/"+name)
		}
	}
	for _, dir := range dirs {
		st, err := s.tree.lstat(dir)
		if err != nil || st.Mode&unix.S_IFMT != unix.S_IFDIR {
			continue // gone since, or told of elsewhere
		}
		if what := groupFaultOf(st, home); what != "" {
			faults = append(faults, remedy.Errorf(fmt.Sprintf("run, as root, `sizewright init --group %d` for this studio again", home.Gid), "%s: %s", show(dir), what))
		}
	}
	return faults, nil
}

func groupFaultOf(st, home unix.Stat_t) string {
	switch {
	case st.Gid != home.Gid:
		return fmt.Sprintf("its group is %d, and the studio's %d", st.Gid, home.Gid)
	case st.Mode&0o070 != 0o070:
		return "its group may not write there"
	case st.Mode&unix.S_ISGID == 0:
		return "it has no setgid bit, so what is made there is not the group's"
	case st.Mode&unix.S_ISVTX != 0:
		return "it has the sticky bit, so only a file's owner may move it"
	}
	return ""
}
