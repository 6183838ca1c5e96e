package config

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// profilePath is the path of a profile, or "". Whether there is a profile is
// for those to say who open it.
func profilePath() kind[string] {
	return kind[string]{
		want: `the path of a file that ends in .icc or .icm, or ""`,
		read: func(value any) (string, bool) {
			path, ok := value.(string)
			return path, ok && (path == "" || endsAsProfile(path) && profileHint(path) == "")
		},
		show: strconv.Quote, // TOML's escapes but for control characters, which no path has
		hint: profileHint,
	}
}

// endsAsProfile knows the suffixes of profile files: common practice, no source.
func endsAsProfile(path string) bool {
	return slices.Contains([]string{".icc", ".icm"}, strings.ToLower(filepath.Ext(path)))
}

// profileHint says what else is wrong with a path, "" if nothing is.
func profileHint(value any) string {
	path, _ := value.(string)
	switch {
	case strings.Contains(path, "://") || strings.HasPrefix(strings.ToLower(path), "file:"):
		return "nothing is fetched for a print, so save the profile in the studio and give its path"
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
