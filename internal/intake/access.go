package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"

	"sizewright/internal/remedy"
)

// denied says what permissions keep this process from doing with a file or folder, who
// may change that, and how. It is an fs.ErrPermission.
type denied struct{ fault, remedy string }

func (d *denied) Error() string        { return remedy.Join(d.fault, d.remedy) }
func (d *denied) Is(target error) bool { return target == fs.ErrPermission }

// movable leaves out the files that this process may not move out of their folders, and
// reports those folders: a rename needs leave to write to the folder (rename(2)), and
// where that is sticky to own the file.
func movable(drop string, files []Candidate) (may []Candidate, left []LeftAlone) {
	told := map[string]*denied{}
	for _, c := range files {
		why, looked := told[c.Folder]
		if !looked || why == nil { // of a sticky folder some files may be moved
			why = mayNotMove(drop, c)
		}
		if why == nil {
			may = append(may, c)
		} else if told[c.Folder] == nil {
			left = append(left, unreadable(c.Folder, "", why))
		}
		told[c.Folder] = why
	}
	return may, left
}

func mayNotMove(drop string, c Candidate) *denied {
	folder := filepath.Join(drop, c.Folder)
	var st unix.Stat_t
	if unix.Lstat(folder, &st) != nil {
		return nil // the claim will fail and say so
	}
	if unix.Faccessat(unix.AT_FDCWD, folder, unix.W_OK|unix.X_OK, 0) == unix.EACCES {
		return denies("its pictures may not be moved out of it", drop, st, 7)
	}
	self := uint32(os.Geteuid())
	if st.Mode&unix.S_ISVTX != 0 && self != 0 && self != st.Uid && self != c.owner {
		return &denied{"it has the sticky bit, so only who owns a picture may move it out", fmt.Sprintf("let %s or root run chmod -t on the folder", userName(st.Uid))}
	}
	return nil
}

// mayNotRead is why a file or folder may not be read.
func mayNotRead(drop string, st unix.Stat_t) *denied {
	needs := uint32(4)
	if st.Mode&unix.S_IFMT == unix.S_IFDIR {
		needs = 7
	}
	return denies("may not be read", drop, st, needs)
}

// denies is about a file or folder that is closed to this process: whose it is, and by
// whom and how it is opened. needs are the bits of one class of the mode, 4 for reading.
func denies(what, drop string, st unix.Stat_t, needs uint32) *denied {
	var steps []string
	var home unix.Stat_t
	shared := unix.Lstat(drop, &home) == nil && home.Mode&unix.S_ISGID != 0
	if shared && st.Gid != home.Gid {
		steps = append(steps, "chgrp "+groupName(home.Gid))
	}
	if lacks := needs &^ uint32(st.Mode>>3); shared && lacks != 0 {
		steps = append(steps, "chmod g+"+letters(lacks))
	}
	if len(steps) == 0 {
		steps = append(steps, "chmod a+"+letters(needs))
	}
	return &denied{
		fmt.Sprintf("%s by sizewright, which runs as %s: it belongs to %s, with the mode %04o", what, userName(uint32(os.Geteuid())), userName(st.Uid), uint32(st.Mode)&0o7777),
		fmt.Sprintf("let %s or root run %s on it", userName(st.Uid), strings.Join(steps, " and ")),
	}
}

// letters are bits of one class of a mode as chmod(1) has them.
func letters(bits uint32) string {
	s := ""
	for i, letter := range []string{"r", "w", "x"} {
		if bits&(4>>i) != 0 {
			s += letter
		}
	}
	return s
}

func userName(uid uint32) string {
	id := strconv.FormatUint(uint64(uid), 10)
	if u, err := user.LookupId(id); err == nil {
		id = u.Username
	}
	return "user " + id
}

func groupName(gid uint32) string {
	id := strconv.FormatUint(uint64(gid), 10)
	if g, err := user.LookupGroupId(id); err == nil {
		return g.Name
	}
	return id
}

// unreadable tells of a folder (name "") or file that permissions keep from being made.
func unreadable(folder, name string, err error) LeftAlone {
	var d *denied
	if errors.As(err, &d) {
		return leftAlone(folder, name, KindUnreadable, d.fault, d.remedy)
	}
	return leftAlone(folder, name, KindUnreadable, fmt.Sprintf("cannot be looked at (%v)", err), "let the user that runs sizewright read it")
}
