package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/sys/unix"

	"sizewright/internal/remedy"
	"sizewright/internal/system"
)

// newFile checks, before the work is done, that a file may be written: its name has one of
// the endings, and no file of that name exists, which might be a photograph.
func newFile(flag, name string, endings ...string) error {
	if !slices.Contains(endings, strings.ToLower(filepath.Ext(name))) {
		return argumentError{fmt.Errorf("%s: give a name that ends in %s, not %q", flag, strings.Join(endings, " or "), name)}
	}
	if _, err := os.Lstat(name); err == nil {
		return there(name)
	}
	if dir := filepath.Dir(name); unix.Access(dir, unix.W_OK) != nil {
		return argumentError{remedy.Errorf("give a name in a directory that is there", "%s: nothing can be written into %s", flag, dir)}
	}
	return nil
}

func there(name string) error {
	return remedy.Errorf("move it away or give another name", "%s exists already and is not overwritten", name)
}

// freeName returns the name, or if that exists, the name with a number before its ending.
func freeName(name string) string {
	ending := filepath.Ext(name)
	base, free := strings.TrimSuffix(name, ending), name
	for n := 2; ; n++ {
		if _, err := os.Lstat(free); err != nil {
			return free
		}
		free = fmt.Sprintf("%s-%d%s", base, n, ending)
	}
}

// writeWhole writes a new file completely or not at all.
func writeWhole(name string, write func(*os.File) error) error {
	// The umask decides the permissions, as for any new file.
	f, err := os.OpenFile(filepath.Join(filepath.Dir(name), ".sizewright-"+rand.Text()), os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if err := write(f); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	err = system.RenameNoReplace(unix.AT_FDCWD, f.Name(), unix.AT_FDCWD, name)
	if errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.ENOTSUP) { // not supported by the file system
		err = os.Link(f.Name(), name)
	}
	if errors.Is(err, fs.ErrExist) {
		return there(name)
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", name, err)
	}
	return nil
}
