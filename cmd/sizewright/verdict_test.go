package main

import (
	"testing"

	"sizewright/internal/record"
)

func TestOneOrderIsOneOrder(t *testing.T) {
	for n, want := range map[int]string{
		1: "1 order could not be made now and went back to its drop folder",
		2: "2 orders could not be made now and went back to their drop folders",
	} {
		if err := verdict(&record.Night{Faults: make([]record.Fault, n)}); err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}
