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
	c.Flags().StringVar(program, "notify", "", "a `program`, by its absolute path, that gets each report's JSON on its standard input")
}

// notifyProgram checks that a program can be run, now and not in the morning, and that it
// is not among what people of the studio may change: whoever may drop a picture would
// then have the daemon run what they please.
func notifyProgram(program, studio string) (string, error) {
	if program == "" {
		return "", nil
	}
	wrong := func(fault, do string) (string, error) {
		return "", usageError{remedy.Errorf(do, "--notify: %q %s", program, fault)}
	}
	if !filepath.IsAbs(program) {
		return wrong("is no absolute path", "give one, such as /usr/local/bin/tell-morning")
	}
	real, err := filepath.EvalSymlinks(program)
	if err != nil {
		return wrong("cannot be found: "+bareFault(err), "")
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
		return wrong("lies in the studio, where people may change it", "put it elsewhere, such as in /usr/local/bin")
	}
	return program, nil
}

// within tells whether a file lies in a directory, both by their true paths.
func within(file, dir string) (bool, error) {
	dir, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return false, err
	}
	rel, err := filepath.Rel(dir, file)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, "../"), nil
}

// bareFault is what a file's error says without the path.
func bareFault(err error) string {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}
