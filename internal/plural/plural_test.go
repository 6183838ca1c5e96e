package plural

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

func TestANounAgreesWithItsNumber(t *testing.T) {
	for n, want := range map[int]string{0: "0 orders", 1: "1 order", 2: "2 orders", 101: "101 orders"} {
		if got := Count(n, "order", "orders"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// uncounted matches a number directly before a plural in a message.
var uncounted = regexp.MustCompile(`"[^"]*%d [a-z]{2,}s\b[^"]*"`)

// never lists messages whose number is never 1, by their beginnings, and packages whose
// messages are for programmers.
var (
	never = []string{"x %d pixels", "longer than %d bytes", "at most %d bytes", "stock's name of %d bytes", "of %d names", "after %d tries", "up to %d characters",
		"in hand %d times", "decoded %d times", "%d of %d files", "a plane of %d x %d lies", "from %d to %d pixels",
		"; %d copies", "print %d copies", "inside %d others"}
	programmers = []string{"tiff", "vector", "testkit", "plural", "scripts"}
)

func TestNoMessageSaysOneOrders(t *testing.T) {
	err := filepath.WalkDir("../..", func(path string, e fs.DirEntry, err error) error {
		if err == nil && e.IsDir() && slices.Contains(programmers, e.Name()) {
			return fs.SkipDir
		}
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range uncounted.FindAllString(string(text), -1) {
			if !slices.ContainsFunc(never, func(n string) bool { return strings.Contains(m, n) }) {
				t.Errorf("%s: %s; use plural.Count, or add it to those whose number is never 1", path, m)
			}
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}
