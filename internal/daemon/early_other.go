//go:build !linux

package daemon

import "os"

// early is a file; only Linux can be asked to write it out as it comes.
type early struct{ *os.File }
