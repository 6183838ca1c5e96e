package config

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
)

// maxFileBytes is the largest configuration that is read, in bytes.
const maxFileBytes = 1 << 20

// Load reads the file at path. A file that is missing is no mistake: it returns
// Default. Mistakes inside it come as [Problems].
func Load(path string) (*Config, error) {
	data, err := readFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Default(), nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read (%w): make it a text file that this account may read", path, bare(err))
	}
	if len(data) > maxFileBytes {
		return nil, fmt.Errorf("%s is larger than 1 MiB and so no configuration: move it away", path)
	}
	return Parse(path, data)
}

// readFile reads a file, or as much of it as shows that it is too large. It does not
// wait: a pipe would stop a daemon that reads its configuration again.
func readFile(path string) ([]byte, error) {
	file, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() && !info.IsDir() { // of a directory reading tells
		return nil, errors.New("no plain file")
	}
	return io.ReadAll(io.LimitReader(file, maxFileBytes+1))
}

// bare strips the path, which the sentence has already, off a file's error.
func bare(err error) error {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err
	}
	return err
}
