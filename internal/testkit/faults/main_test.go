//go:build linux

package faults

import (
	"fmt"
	"os"
	"testing"
)

// built is the daemon, built once and without the race detector, as it is shipped.
var built string

func TestMain(m *testing.M) {
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "faults-")
		if err == nil {
			defer os.RemoveAll(dir)
			err = os.Chmod(dir, 0o755)
		}
		if err == nil {
			built, err = Build(dir)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		return m.Run()
	}())
}
