package config

import (
	"os"
	"slices"
	"testing"
)

// testdata/earlier.toml gives every key that a version before this one had, with values
// that were right.
func TestAFileOfAnEarlierVersionIsTakenOver(t *testing.T) {
	text, err := os.ReadFile("testdata/earlier.toml")
	if err != nil {
		t.Fatal(err)
	}
	c, err := Parse("sizewright.toml", text)
	if err != nil {
		t.Fatalf("the service would not start: %v", err)
	}
	var keys []string
	for _, w := range c.Warnings {
		keys = append(keys, w.Key)
	}
	if want := []string{"workers", "work.workers", "work.share", "work.lease", "morning.notify", "print.minimum_counts", "print.bleed"}; !slices.Equal(keys, want) {
		t.Errorf("warned of %q, want %q", keys, want)
	}
	if s := c.Settings("A4 lustre", ""); s.Profile != "profiles/lustre.icc" || s.BorderMM != 20 {
		t.Errorf("its stock is not read: %+v", s)
	}
}
