package intake

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
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
	Folder  string // the drop folder: its path from drop/, with slashes
	Name    string // the file's name in it, byte for byte
	Size    int64  // bytes
	ModTime time.Time

	inode   uint64    // tells a file from another that took its name
	owner   uint32    // its user
	changed time.Time // when anything of it last changed, by its file system
	blanks  *blanks   // at the first close look, where nobody knows who writes to it
}

// MaxDepth is how many folders may lie in one another under drop/. What lies deeper is
// not looked into: a whole disk may have been dropped.
const MaxDepth = 8

// Scan looks once at a drop directory. It gives every regular file in its
// folders, oldest first, and everything else as left alone. Links are not
// followed. A folder that cannot be read is left alone too; err means that drop
// itself cannot be.
func Scan(drop string) (files []Candidate, left []LeftAlone, err error) {
	folders, left, err := Folders(drop)
	for _, f := range folders {
		files, left = append(files, f.Files...), append(left, f.Left...)
	}
	slices.SortFunc(files, oldestFirst)
	return files, left, err
}

// A Folder is a folder under drop/, at whatever depth.
type Folder struct {
	Path    string // from drop/, with slashes
	Files   []Candidate
	Left    []LeftAlone // what else lies in it
	Folders int         // how many folders lie in it
}

// IsShelf tells of a folder that only holds other folders, and so asks nothing itself.
func (f Folder) IsShelf() bool { return f.Folders > 0 && len(f.Files) == 0 }

// Folders gives the folders under drop, each before those in it and else by name,
// whether or not there is a size on their paths, and what else lies in the drop
// directory itself as left alone.
func Folders(drop string) (folders []Folder, left []LeftAlone, err error) {
	entries, err := readDir(drop)
	if err != nil {
		return nil, nil, noDrop(drop, err)
	}
	for _, e := range entries {
		if o, is := leftInDrop(e); is {
			left = append(left, o)
			continue
		}
		folders = append(folders, foldersIn(drop, e.Name())...)
	}
	return folders, left, nil
}

// foldersIn gives a folder and all those in it.
func foldersIn(drop, folder string) []Folder {
	f, within := scanFolder(drop, folder)
	all := []Folder{f}
	for _, name := range within {
		all = append(all, foldersIn(drop, folder+"/"+name)...)
	}
	return all
}

// folderPaths gives the paths of the folders under drop, as Folders does, and looks at no
// file.
func folderPaths(drop string) (paths []string, err error) {
	entries, err := readDir(drop)
	if err != nil {
		return nil, noDrop(drop, err)
	}
	var add func(within string, entries []fs.DirEntry)
	add = func(within string, entries []fs.DirEntry) {
		for _, e := range entries {
			if !e.IsDir() || isLitter(e.Name()) {
				continue
			}
			folder := path.Join(within, e.Name())
			paths = append(paths, folder)
			if depth(folder) < MaxDepth {
				inside, _ := readDir(filepath.Join(drop, folder)) // Scan tells of one that cannot be read
				add(folder, inside)
			}
		}
	}
	add("", entries)
	return paths, nil
}

// depth is how many folders a path names.
func depth(folder string) int { return strings.Count(folder, "/") + 1 }

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

// scanFolder looks at one folder, and gives the names of those in it that are to be looked
// into.
func scanFolder(drop, folder string) (in Folder, within []string) {
	in.Path = folder
	entries, err := readDir(filepath.Join(drop, folder))
	if errors.Is(err, fs.ErrNotExist) {
		return in, nil // gone since
	}
	if err != nil {
		var st unix.Stat_t
		if errors.Is(err, fs.ErrPermission) && unix.Lstat(filepath.Join(drop, folder), &st) == nil {
			err = mayNotRead(drop, st)
		}
		in.Left = []LeftAlone{unreadable(folder, "", err)}
		return in, nil
	}
	for _, e := range entries {
		if o, is := leftInFolder(folder, e); is {
			in.Left = append(in.Left, o)
			continue
		}
		if e.IsDir() {
			within = append(within, e.Name())
			continue
		}
		info, err := e.Info()
		switch {
		case errors.Is(err, fs.ErrNotExist):
			// gone since
		case err != nil:
			in.Left = append(in.Left, unreadable(folder, e.Name(), err))
		case info.Mode().IsRegular():
			if o, is := leftFile(folder, e.Name(), info); is {
				in.Left = append(in.Left, o)
				break
			}
			in.Files = append(in.Files, candidate(folder, info))
		}
		// Else another thing took its place this moment: the next look tells.
	}
	in.Folders = len(within)
	return in, within
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
