package main

import (
	"errors"
	"os"
	"path/filepath"
)

// writeWhole writes a file whole or not at all, over a file of its name.
func writeWhole(name string, write func(*os.File) error) error {
	f, err := os.CreateTemp(filepath.Dir(name), ".sizewright-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if err := write(f); err != nil {
		return err
	}
	if err := errors.Join(f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
