package daemon

import (
	"testing"
	"time"
)

// A second each: the orders in hand, whether one of them gets on, whether the drop
// folders are still looked at. The watchdog of two seconds is fed where there is a "!".
func TestTheWatchdogIsFedByWorkAlone(t *testing.T) {
	for _, c := range []struct{ claim, orders, beats, looks, fed string }{
		{"idle, and looking", "00000000", "........", "llllllll", "!.!.!.!."},
		{"at work", "11111111", "bbbbbbbb", "llllllll", "!.!.!.!."},
		{"an order that hangs", "11111111", "bb......", "llllllll", "!.!....."},
		{"an order that hangs, and then gets on", "11111111", "bb....bb", "llllllll", "!.!...!."},
		{"drop folders nobody looks at", "00000000", "........", "ll......", "!......."},
	} {
		var fed string
		w := &watchdog{every: 2 * time.Second, feed: func() { fed += "!" }}
		beats, looked := uint64(0), evening
		for i := range c.orders {
			now := evening.Add(time.Duration(i) * time.Second)
			if c.beats[i] == 'b' {
				beats++
			}
			if c.looks[i] == 'l' {
				looked = now
			}
			before := len(fed)
			w.look(now, int(c.orders[i]-'0'), beats, looked, now)
			if len(fed) == before {
				fed += "."
			}
		}
		if fed != c.fed {
			t.Errorf("%s: fed %s, want %s", c.claim, fed, c.fed)
		}
	}
}

func TestAWatchdogNobodyAskedForIsNotFed(t *testing.T) {
	w := &watchdog{feed: func() { t.Error("fed") }}
	w.look(evening, 0, 1, evening, evening)
}
