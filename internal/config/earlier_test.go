package config

import (
	"os"
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
	if got := len(keys); got != 3 {
		t.Errorf("warned of %q, want work.share, work.lease and morning.notify", keys)
	}
	if s := c.Settings("A4 lustre", ""); s.Profile != "profiles/lustre.icc" || s.BorderMM != 20 {
		t.Errorf("its stock is not read: %+v", s)
	}
}
