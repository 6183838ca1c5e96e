package studio

import (
	"fmt"
	"strconv"
	"strings"

	"sizewright/internal/filename"
	"sizewright/internal/remedy"
)

// maxName is how many bytes a name can have.
const maxName = filename.MaxBytes

// maxNumber limits the search for a free name.
const maxNumber = 100_000

// checkName refuses what cannot be one name in a directory.
func checkName(name string) error {
	switch {
	case name == "" || name == "." || name == "..":
		return fmt.Errorf("%s: not a name a file or folder can have", strconv.Quote(name))
	case strings.ContainsAny(name, "/\x00"):
		return fmt.Errorf("%s: a name cannot contain a slash or a zero byte", strconv.Quote(name))
	case len(name) > maxName:
		return remedy.Errorf("give it a shorter name", "%s: longer than %d bytes", show(name), maxName)
	}
	return nil
}

// checkFolder refuses what cannot be a drop folder's path, from drop/ down.
func checkFolder(folder string) error {
	for name := range strings.SplitSeq(folder, "/") {
		if err := checkName(name); err != nil {
			return err
		}
		if strings.HasPrefix(name, ".") {
			return remedy.Errorf("rename it", "%s/%s: a drop folder's name cannot begin with a dot", dropDir, show(folder))
		}
		if filename.Fold(name) == morningName {
			return remedy.Errorf("give the folder another name", "%s/%s: %s is where the morning reports go", dropDir, show(folder), morningDir)
		}
	}
	return nil
}

// nameSet is the names in use in a directory, by [filename.Fold].
type nameSet map[string]bool

func (s nameSet) has(name string) bool { return s[filename.Fold(name)] }

// addAll adds names and reports whether all of them were free and different.
func (s nameSet) addAll(names ...string) bool {
	free := true
	for _, name := range names {
		key := filename.Fold(name)
		free = free && !s[key]
		s[key] = true
	}
	return free
}

// free reports whether names could all be added, without adding them.
func (s nameSet) free(names ...string) bool {
	for _, name := range names {
		if s.has(name) {
			return false
		}
	}
	return nameSet{}.addAll(names...)
}

// cleanStem makes a stem fit for a made file's name: [filename.Safe], with a dash at
// the front, which commands take for an option, "_" as well. Everything else, spaces
// too, is the user's and stays.
func cleanStem(stem string) string {
	if stem == "" {
		return "print"
	}
	if strings.HasPrefix(stem, "-") {
		stem = "_" + stem[1:]
	}
	return filename.Safe(stem)
}

// numberedStem is stem, from 2 on with "-n", leaving room bytes for a suffix.
func numberedStem(stem string, n, room int) string {
	number := ""
	if n > 1 {
		number = "-" + strconv.Itoa(n)
	}
	return filename.Shorten(stem, maxName-room-len(number)) + number
}

// numberedName is name, from 2 on with "-n" before its extension.
func numberedName(name string, n int) string {
	if n == 1 {
		return name
	}
	stem, ext := splitExt(name)
	return numberedStem(stem, n, len(ext)) + ext
}

// splitExt parts a name at its last dot. What follows is no extension when it
// is all of the name or longer than any extension is.
func splitExt(name string) (stem, ext string) {
	const longestExt = 16
	dot := strings.LastIndexByte(name, '.')
	if dot <= 0 || len(name)-dot > longestExt {
		return name, ""
	}
	return name[:dot], name[dot:]
}

// firstFree tries 1, 2, 3... until try finds that its names are free.
func firstFree(try func(n int) bool) error {
	for n := 1; n <= maxNumber; n++ {
		if try(n) {
			return nil
		}
	}
	return remedy.Errorf("empty the folder", "every numbered name is taken")
}

// longest is the length in bytes of the longest suffix.
func longest(suffixes []string) (n int) {
	for _, s := range suffixes {
		n = max(n, len(s))
	}
	return n
}

func withSuffixes(stem string, suffixes []string) []string {
	names := make([]string, len(suffixes))
	for i, s := range suffixes {
		names[i] = stem + s
	}
	return names
}
