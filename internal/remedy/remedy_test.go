package remedy

import (
	"errors"
	"fmt"
	"io/fs"
	"testing"
)

func TestAFaultAndItsRemedyAreKeptApart(t *testing.T) {
	gone := Errorf("drop it again", "marsh.jpg is gone; nobody took it: %w", fs.ErrNotExist)
	for _, c := range []struct {
		err                  error
		whole, fault, remedy string
	}{
		{gone, "marsh.jpg is gone; nobody took it: file does not exist; drop it again", "marsh.jpg is gone; nobody took it: file does not exist", "drop it again"},
		{fmt.Errorf("A2: %w", gone), "A2: marsh.jpg is gone; nobody took it: file does not exist; drop it again", "A2: marsh.jpg is gone; nobody took it: file does not exist", "drop it again"},
		{fmt.Errorf("%w, twice", gone), "marsh.jpg is gone; nobody took it: file does not exist; drop it again, twice", "marsh.jpg is gone; nobody took it: file does not exist; drop it again, twice", ""},
		{errors.New("a; b"), "a; b", "a; b", ""},
	} {
		if fault, do := Split(c.err); c.err.Error() != c.whole || fault != c.fault || do != c.remedy {
			t.Errorf("%q: %q and %q, want %q: %q and %q", c.err, fault, do, c.whole, c.fault, c.remedy)
		}
	}
	if !errors.Is(gone, fs.ErrNotExist) {
		t.Error("what was wrong is not found")
	}
	if got := Join("marsh.jpg is empty", ""); got != "marsh.jpg is empty" {
		t.Errorf("without a remedy: %q", got)
	}
}
