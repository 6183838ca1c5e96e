package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"golang.org/x/sys/unix"
)

// Odd is something in drop/ that is no drop folder.
type Odd struct {
	Name string
	Text string // one sentence, with the remedy
}

// DropFolders gives the names of the drop folders, sorted, and what else lies
// in drop/: files, links, and names a drop folder cannot have. Names beginning
// with a dot are neither; file managers and shares keep their own things so.
func (s *Studio) DropFolders() (folders []string, odd []Odd, err error) {
	if _, err := s.tree.lstat(dropDir); err != nil {
		return nil, nil, err // list would call a missing directory empty
	}
	names, err := s.tree.list(dropDir)
	if err != nil {
		return nil, nil, err
	}
	for _, name := range names {
		if strings.HasPrefix(name, ".") {
			continue
		}
		st, err := s.tree.lstat(dropPath(name))
		if errors.Is(err, fs.ErrNotExist) {
			continue // gone since
		}
		if err != nil {
			return nil, nil, err
		}
		if text := oddText(name, st.Mode); text != "" {
			odd = append(odd, Odd{name, text})
			continue
		}
		folders = append(folders, name)
	}
	return folders, odd, nil
}

func oddText(name string, mode uint32) string {
	if mode&unix.S_IFMT == unix.S_IFDIR {
		if err := checkFolder(name); err != nil {
			return err.Error()
		}
		return ""
	}
	remedy := "make a folder of that name instead"
	if mode&unix.S_IFMT == unix.S_IFREG {
		remedy = "move it into the folder of the size it is wanted at"
	}
	return fmt.Sprintf("%s: %s where only drop folders belong; %s", show(dropPath(name)), kindOf(mode), remedy)
}
