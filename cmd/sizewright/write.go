package main

import (
	"errors"
	"os"
	"path/filepath"
)

// writeWhole writes a file whole or not at all, over a file of its name.
func writeWhole(name string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(name), ".sizewright-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := errors.Join(f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
