package main

import (
	"bytes"
	"testing"
)

// check says which guarantees the system cannot give; that is not a mistake.
func TestWhatASystemCannotPromiseIsSaid(t *testing.T) {
	var out bytes.Buffer
	sayWeaker(&out, []string{"the tide table is not kept", "a lamp may go out"})
	if want := "On this system the tide table is not kept.\nOn this system a lamp may go out.\n"; out.String() != want {
		t.Errorf("says %q, want %q", &out, want)
	}
}
