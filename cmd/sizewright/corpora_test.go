package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What fuzzing once found worth keeping is tried again by every run of the tests, which
// take a target's testdata/fuzz for its first inputs.
func TestEveryFuzzTargetHasACorpus(t *testing.T) {
	target := regexp.MustCompile(`(?m)^func (Fuzz\w+)\(f \*testing\.F\)`)
	targets := 0
	err := filepath.WalkDir("../..", func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range target.FindAllSubmatch(text, -1) {
			targets++
			corpus := filepath.Join(filepath.Dir(path), "testdata", "fuzz", string(m[1]))
			if inputs, err := os.ReadDir(corpus); err != nil || len(inputs) == 0 {
				t.Errorf("%s has %d inputs, %v", corpus, len(inputs), err)
			}
		}
		return err
	})
	if err != nil || targets < 15 {
		t.Errorf("only %d targets were found, %v", targets, err)
	}
}
