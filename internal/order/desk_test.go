package order

import (
	"testing"

	"sizewright/internal/photo"
)

// The limit from the header keeps decoding from failing at the control group's limit.
func TestDecodingStaysWithinTheMemoryThereIs(t *testing.T) {
	lim := photo.DefaultLimits()
	if got := Within(lim, 0); got != lim {
		t.Errorf("without a bound: %+v", got)
	}
	if got := Within(lim, 64<<30); got != lim {
		t.Errorf("with more than enough: %+v", got)
	}
	if got := Within(lim, 1<<30); got.MaxMemoryBytes != 1<<30 || got.MaxDecodeBytes >= 1<<30 || got.MaxDecodeBytes < 1<<29 {
		t.Errorf("within 1 GiB: %+v", got)
	}
}
