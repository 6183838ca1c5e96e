// Package version says which sizewright this is, from what the Go toolchain
// writes into every binary it builds. Nothing is set by hand: a binary built at
// a tag is that tag, one built between tags has a pseudo-version that names its
// commit (https://go.dev/ref/mod#pseudo-versions).
package version

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
)

// Unknown is the version of a binary that was built outside a repository.
const Unknown = "devel"

// Version is this program's version as one word, such as "v1.2.0", or [Unknown].
var Version = sync.OnceValue(func() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return Unknown
	}
	return of(info)
})

// Software is the program and its version, for the TIFF tag of that name.
func Software() string { return "sizewright " + Version() }

// Long is the version with the toolchain and the system it was built for, and the
// commit where one is known, one fact a line.
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
		return Unknown
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
		words += ", with changes that are not committed"
	}
	return words
}
