package studio

import (
	"errors"
	"io/fs"

	"golang.org/x/sys/unix"

	"sizewright/internal/plaintext"
	"sizewright/internal/remedy"
)

// Errors a caller may want to tell apart; each comes wrapped in a sentence.
var (
	ErrNotStudio  = errors.New("not a studio")
	ErrNewer      = errors.New("studio of a later version")
	ErrLocked     = errors.New("studio in use")
	ErrNotRegular = errors.New("not a regular file")
	ErrNameTaken  = errors.New("name taken meanwhile")
	ErrChanged    = errors.New("changed while in hand")
	ErrGone       = errors.New("no longer in its claim")
)

// fault words a failure: the path, what could not be done, why, and what would help.
func fault(path, what string, err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err // its path is already in the sentence
	}
	return remedy.Errorf(remedyOf(err), "%s: %s: %w", show(path), what, err)
}

// remedyOf is what a person can do about an error of the system.
func remedyOf(err error) string {
	for _, r := range remedies {
		if errors.Is(err, r.errno) {
			return r.text
		}
	}
	return ""
}

var remedies = []struct {
	errno unix.Errno
	text  string
}{
	{unix.EACCES, "let the user that runs sizewright write there"},
	{unix.EPERM, "let the user that runs sizewright write there"},
	{unix.ENOSPC, "make room on this disk"},
	{unix.EDQUOT, "make room within the quota"},
	{unix.EROFS, "the disk is mounted read-only"},
	{unix.EMFILE, "allow sizewright more open files (LimitNOFILE= in its systemd unit, or ulimit -n)"},
	{unix.ENFILE, "end what keeps so many files open on this machine"},
	{unix.EXDEV, "all of a studio must lie on one file system, so put a plain directory there in place of a mount"},
	{unix.ENOTDIR, "put a plain directory there; links inside a studio are not followed"},
	{unix.ELOOP, "put the thing itself there; links inside a studio are not followed"},
	{unix.ENAMETOOLONG, "give it a shorter name"},
}

// show is a path as it can be printed: in one line, with nothing in it that a terminal
// or a reader obeys.
func show(path string) string {
	if path == "" {
		return `""`
	}
	return plaintext.Line(path)
}
