package intake

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"golang.org/x/sys/unix"

	"sizewright/internal/system"
)

// Candidate is a regular file in a drop folder, as seen at one look.
type Candidate struct {
	Folder  string // the drop folder's name
	Name    string // the file's name in it, byte for byte
	Size    int64  // bytes
	ModTime time.Time

	inode   uint64    // tells a file from another that took its name
	owner   uint32    // its user
	changed time.Time // when anything of it last changed, by its file system
	blanks  *blanks   // at the first close look, where nobody knows who writes to it
}

// Scan looks once at a drop directory. It gives every regular file in its
// folders, oldest first, and everything else as left alone. Links are not
// followed. A folder that cannot be read is left alone too; err means that drop
// itself cannot be.
func Scan(drop string) (files []Candidate, left []LeftAlone, err error) {
	folders, left, err := Folders(drop)
	for _, folder := range folders {
		f, o := scanFolder(drop, folder)
		files, left = append(files, f...), append(left, o...)
	}
	slices.SortFunc(files, oldestFirst)
	return files, left, err
}

// Folders gives the names of the drop folders, sorted, whether or not they are those of
// sizes, and what else lies in the drop directory as left alone.
func Folders(drop string) (folders []string, left []LeftAlone, err error) {
	entries, err := readDir(drop)
	if err != nil {
		return nil, nil, noDrop(drop, err)
	}
	for _, e := range entries {
		if o, is := leftInDrop(e); is {
			left = append(left, o)
			continue
		}
		folders = append(folders, e.Name())
	}
	return folders, left, nil
}

// noDrop words why there is no looking into the drop directory.
func noDrop(drop string, err error) error {
	remedy := "see to the disk it is on"
	switch {
	case errors.Is(err, fs.ErrNotExist):
		remedy = "put it back, or mount its disk"
	case errors.Is(err, fs.ErrPermission):
		remedy = "let the user that runs sizewright read it"
	case errors.Is(err, syscall.ENOTDIR), errors.Is(err, syscall.ELOOP):
		remedy = "put a plain directory there"
	case errors.Is(err, syscall.EMFILE), errors.Is(err, syscall.ENFILE):
		remedy = "allow sizewright more open files (LimitNOFILE= in its systemd unit, or ulimit -n)"
	}
	return fmt.Errorf("%s: the drop directory cannot be read: %w; %s", show(drop), err, remedy)
}

// scanFolder looks at one drop folder.
func scanFolder(drop, folder string) (files []Candidate, left []LeftAlone) {
	entries, err := readDir(filepath.Join(drop, folder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil // gone since
	}
	if err != nil {
		var st unix.Stat_t
		if errors.Is(err, fs.ErrPermission) && unix.Lstat(filepath.Join(drop, folder), &st) == nil {
			err = mayNotRead(drop, st)
		}
		return nil, []LeftAlone{unreadable(folder, "", err)}
	}
	for _, e := range entries {
		if o, is := leftInFolder(folder, e); is {
			left = append(left, o)
			continue
		}
		info, err := e.Info()
		switch {
		case errors.Is(err, fs.ErrNotExist):
			// gone since
		case err != nil:
			left = append(left, unreadable(folder, e.Name(), err))
		case info.Mode().IsRegular():
			if o, is := leftFile(folder, e.Name(), info); is {
				left = append(left, o)
				break
			}
			files = append(files, candidate(folder, info))
		}
		// Else another thing took its place this moment: the next look tells.
	}
	return files, left
}

func candidate(folder string, info fs.FileInfo) Candidate {
	c := Candidate{Folder: folder, Name: info.Name(), Size: info.Size(), ModTime: info.ModTime()}
	if st, ok := info.Sys().(*syscall.Stat_t); ok {
		c.inode, c.owner, c.changed = st.Ino, st.Uid, system.ChangeTime(info)
	}
	return c
}

// readDir is os.ReadDir, but for a directory that is a link.
func readDir(dir string) ([]fs.DirEntry, error) {
	f, err := os.OpenFile(dir, os.O_RDONLY|syscall.O_DIRECTORY|syscall.O_NOFOLLOW, 0)
	if err != nil {
		return nil, errors.Unwrap(err) // the caller's sentence has the path
	}
	defer f.Close()
	entries, err := f.ReadDir(-1)
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries, err
}

// oldestFirst is the order in which photographs are made: the longest waiting
// first, and always the same.
func oldestFirst(a, b Candidate) int {
	return cmp.Or(a.ModTime.Compare(b.ModTime), strings.Compare(a.Folder, b.Folder), strings.Compare(a.Name, b.Name))
}
