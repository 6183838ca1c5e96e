package daemon

import (
	"testing"
	"time"
)

// A second each: the orders in hand, whether one of them gets on, whether the pages of
// earlier nights do ("-" where none are written), whether the drop folders are still looked
// at. The watchdog of two seconds is fed where there is a "!".
func TestTheWatchdogIsFedByWorkAlone(t *testing.T) {
	for _, c := range []struct{ claim, orders, beats, pages, looks, fed string }{
		{"idle, and looking", "00000000", "........", "--------", "llllllll", "!.!.!.!."},
		{"at work", "11111111", "bbbbbbbb", "--------", "llllllll", "!.!.!.!."},
		{"an order that hangs", "11111111", "bb......", "--------", "llllllll", "!.!....."},
		{"an order that hangs, and then gets on", "11111111", "bb....bb", "--------", "llllllll", "!.!...!."},
		{"drop folders nobody looks at", "00000000", "........", "--------", "ll......", "!......."},
		{"pages that get on", "00000000", "........", "bbbbbbbb", "llllllll", "!.!.!.!."},
		{"pages that hang", "00000000", "........", "bb......", "llllllll", "!.!....."},
		{"pages that hang, beside orders that get on", "11111111", "bbbbbbbb", "bb......", "llllllll", "!.!....."},
		{"an order that hangs, beside pages that get on", "11111111", "bb......", "bbbbbbbb", "llllllll", "!.!....."},
		{"pages that are written and over", "00000000", "........", "bbb-----", "llllllll", "!.!.!.!."},
	} {
		var fed string
		w := &watchdog{every: 2 * time.Second, feed: func() { fed += "!" }}
		var order, page heartbeat
		looked := evening
		for i := range c.orders {
			now := evening.Add(time.Duration(i) * time.Second)
			if c.beats[i] == 'b' {
				order.beat()
			}
			if c.pages[i] == 'b' {
				page.beat()
			}
			if c.looks[i] == 'l' {
				looked = now
			}
			before := len(fed)
			w.check(now, looked, now, order.work(c.orders[i] == '1'), page.work(c.pages[i] != '-'))
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
	w.check(evening, evening, evening, work{false, 1})
}
