package config

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"sizewright/internal/plural"
)

// filePath is the path of a file with one of the suffixes, or "". Whether there is such a
// file is for those to say who open it.
func filePath(suffixes ...string) kind[string] {
	return kind[string]{
		want: "the path of a file that ends in " + plural.List(suffixes, "or") + `, or ""`,
		read: func(value any) (string, bool) {
			path, ok := value.(string)
			return path, ok && (path == "" || slices.Contains(suffixes, strings.ToLower(filepath.Ext(path))) && pathHint(path) == "")
		},
		show: strconv.Quote, // TOML's escapes but for control characters, which no path has
		hint: pathHint,
	}
}

// pathHint says what else is wrong with a path, "" if nothing is.
func pathHint(value any) string {
	path, _ := value.(string)
	switch {
	case strings.Contains(path, "://") || strings.HasPrefix(strings.ToLower(path), "file:"):
		return "nothing is fetched for a print, so save the file in the studio and give its path"
	case strings.ContainsFunc(path, unicode.IsControl):
		return "a path has no control characters in it"
	}
	return ""
}

// workingSpace is one of the working spaces, or "". It knows by what names they
// go elsewhere.
func workingSpace() kind[string] {
	k := oneOf("", "srgb", "a98", "romm")
	misspelt := k.hint
	k.hint = func(value any) string {
		text, _ := value.(string)
		text = strings.ToLower(text)
		switch {
		case strings.Contains(text, "adobe"):
			return `did you mean "a98"?`
		case strings.Contains(text, "prophoto"):
			return `did you mean "romm"?`
		}
		return misspelt(value)
	}
	return k
}
