// Package version reports the program's version. A packaged binary has its package's
// version. Any other has what the Go toolchain writes into every binary: one built at a
// tag has that tag as its version, and one built between tags has a pseudo-version that
// names its commit (https://go.dev/ref/mod#pseudo-versions).
package version

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
)

// unknown is the version of a binary that was built outside a repository.
const unknown = "devel"

// packaged is the package's version. scripts/package.sh has the linker set it.
var packaged string

// Version returns the program's version as one word, such as "v1.2.0", or [unknown].
var Version = sync.OnceValue(func() string {
	info, ok := debug.ReadBuildInfo()
	switch {
	case packaged != "":
		return packaged
	case !ok:
		return unknown
	}
	return of(info)
})

// Software returns the program's name and version, for the TIFF tag Software.
func Software() string { return "sizewright " + Version() }

// Long returns the version, the Go toolchain and the target system, and the commit if
// known, one fact per line.
func Long() string {
	info, _ := debug.ReadBuildInfo()
	lines := []string{Software(), fmt.Sprintf("built with %s for %s/%s", runtime.Version(), runtime.GOOS, runtime.GOARCH)}
	if c := commit(info); c != "" {
		lines = append(lines, c)
	}
	return strings.Join(lines, "\n")
}

func of(info *debug.BuildInfo) string {
	v := info.Main.Version
	if v == "" || v == "(devel)" {
		return unknown
	}
	return v
}

func commit(info *debug.BuildInfo) string {
	if info == nil {
		return ""
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	if set["vcs.revision"] == "" {
		return ""
	}
	words := "from commit " + set["vcs.revision"] + " of " + set["vcs.time"]
	if set["vcs.modified"] == "true" {
		words += ", with uncommitted changes"
	}
	return words
}
