package intake

import (
	"slices"
	"strings"
)

// Litter is what operating systems, browsers, copy programs and editors leave
// beside a user's files, or call a file before it is whole. Common practice,
// no source.
var (
	litterNames    = []string{"thumbs.db", "ehthumbs.db", "desktop.ini"}
	litterPrefixes = []string{
		".",  // hidden, .DS_Store, ._marsh.jpg, .marsh.jpg.x7Gh3k of a copy under way
		"~$", // an office program's lock
	}
	litterSuffixes = []string{"~", ".part", ".partial", ".filepart", ".crdownload", ".tmp"}
)

// isLitter tells by the name alone, in any letter case.
func isLitter(name string) bool {
	name = strings.ToLower(name)
	return slices.Contains(litterNames, name) ||
		slices.ContainsFunc(litterPrefixes, func(p string) bool { return strings.HasPrefix(name, p) }) ||
		slices.ContainsFunc(litterSuffixes, func(s string) bool { return strings.HasSuffix(name, s) })
}
