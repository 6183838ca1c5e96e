package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every test run tries the inputs that fuzzing found worth keeping: a target's testdata/fuzz
// are its first inputs.
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
