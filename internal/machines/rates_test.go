package machines

import (
	"strings"
	"testing"
	"time"

	"sizewright/internal/render"
)

func TestAPlanSaysWhereAPrintWouldBeMade(t *testing.T) {
	large := render.Recipe{Print: render.Print{Width: 8000, Height: 12000}}
	free := &Status{Reached: true, Rates: Rates{Made: 0.5, Moved: 100}, Workers: []WorkerStatus{{Prints: 1}}}
	busy := &Status{Reached: true, Rates: free.Rates, Workers: []WorkerStatus{{Prints: 1, Hand: []OrderThere{{}}}, {Prints: 2, Idle: "another version"}}}
	for _, c := range []struct {
		status *Status
		says   string
	}{
		{&Status{Reached: true, Rates: Rates{Made: 1000, Moved: 1}}, "on this machine: making it here takes about 0.096 s"},
		{&Status{Rates: free.Rates}, "on this machine, as long as the server of [machines] is not reached"},
		{busy, "on this machine, unless a worker is free by then: making it here takes about 192 s"},
		{free, "by another machine, if one is free: making it here takes about 192 s"},
		{nil, "by another machine, if one is free once a daemon runs: making it here takes about 4.8 s"},
		{&Status{}, "on this machine, as long as the server of [machines] is not reached"},
		{&Status{Reached: true, Rests: time.Now().Add(time.Minute), Workers: free.Workers}, "on this machine, as long as the server of [machines] has trouble"},
	} {
		if got := Where(c.status, &large, 1, 10e6, 50e6); !strings.HasPrefix(got, c.says) {
			t.Errorf("%+v:\n%s\nwant %s", c.status, got, c.says)
		}
	}
}
