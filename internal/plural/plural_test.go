package plural

import "testing"

func TestANounAgreesWithItsNumber(t *testing.T) {
	for n, want := range map[int]string{0: "0 orders", 1: "1 order", 2: "2 orders", 101: "101 orders"} {
		if got := Count(n, "order", "orders"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
