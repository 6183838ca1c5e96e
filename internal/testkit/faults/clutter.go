//go:build linux

package faults

import (
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/sys/unix"
)

// DropClutter puts things that are not orders into a drop folder: links, a pipe, a
// directory, litter.
func (n *Trial) DropClutter() error {
	target := filepath.Join(n.Desk(), "target.jpg")
	picture := Good(n.rand).Data
	if err := os.WriteFile(target, picture, 0o644); err != nil {
		return err
	}
	for _, o := range []struct {
		name string
		kind fs.FileMode
		put  func(path string) error
	}{
		{"link.jpg", fs.ModeSymlink, func(p string) error { return os.Symlink(target, p) }},
		{"nowhere.jpg", fs.ModeSymlink, func(p string) error { return os.Symlink("../../../../../nowhere", p) }},
		{"hard link.jpg", 0, func(p string) error { return os.Link(target, p) }},
		{"pipe.jpg", fs.ModeNamedPipe, func(p string) error { return unix.Mkfifo(p, 0o644) }},
		{"socket.jpg", fs.ModeSocket, func(p string) error { return unix.Mknod(p, unix.S_IFSOCK|0o644, 0) }},
		{"directory.jpg", fs.ModeDir, func(p string) error { return os.Mkdir(p, 0o755) }},
		{".DS_Store", 0, func(p string) error { return os.WriteFile(p, picture[:100], 0o644) }},
		{"Thumbs.db", 0, func(p string) error { return os.WriteFile(p, picture[:100], 0o644) }},
		{"._marsh.jpg", 0, func(p string) error { return os.WriteFile(p, picture, 0o644) }},
		{"marsh.jpg~", 0, func(p string) error { return os.WriteFile(p, picture, 0o644) }},
	} {
		rel := filepath.Join("drop", folders[0], o.name)
		n.Ledger.AddClutter(Clutter{rel, o.kind})
		if err := o.put(n.path(rel)); err != nil {
			return err
		}
	}
	return nil
}
