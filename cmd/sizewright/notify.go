package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/sys/unix"

	"sizewright/internal/remedy"
)

// notifyFlag adds --notify to a command.
func notifyFlag(c *cobra.Command, program *string) {
	c.Flags().StringVar(program, "notify", "", "a `program`, by its absolute path, that receives each report's JSON on its standard input")
}

// notifyProgram checks at the start that a program can be run, and that it is not in the
// studio: anyone who may drop a picture could otherwise make the daemon run a program of
// their choice.
func notifyProgram(program, studio string) (string, error) {
	if program == "" {
		return "", nil
	}
	wrong := func(fault, do string) (string, error) {
		return "", argumentError{remedy.Errorf(do, "--notify: %q %s", program, fault)}
	}
	if !filepath.IsAbs(program) {
		return wrong("is not an absolute path", "give one, such as /usr/local/bin/tell-morning")
	}
	real, err := filepath.EvalSymlinks(program)
	if err != nil {
		return wrong("cannot be found: "+bareFault(err), "give the path of a program that is there")
	}
	info, err := os.Stat(real)
	if err != nil || !info.Mode().IsRegular() || unix.Access(real, unix.X_OK) != nil {
		return wrong("cannot be run", "give a program or script that this user may run")
	}
	inside, err := within(real, studio)
	if err != nil {
		return "", err
	}
	if inside {
		return wrong("is in the studio, where people may change it", "put it elsewhere, such as in /usr/local/bin")
	}
	return program, nil
}

// within reports whether a file is in a directory, after resolving links.
func within(file, dir string) (bool, error) {
	dir, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return false, err
	}
	rel, err := filepath.Rel(dir, file)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, "../"), nil
}

// bareFault returns the message of a file error without the path.
func bareFault(err error) string {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}
