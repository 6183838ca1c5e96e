package ordeal

import (
	"context"
	"fmt"
	"time"
)

// share has daemons work at one studio together, and kills one of them after another.
// The others take over what it had in hand.
func share(ctx context.Context, t *trial) error {
	n, err := t.begin(0, Settings{Work: "share = true\nlease = \"10s\""})
	if err != nil {
		return err
	}
	all := make([]*Daemon, max(t.Daemons, 2))
	t.result.Fault = fmt.Sprintf("%d daemons sharing the studio, killed in turn", len(all))
	for i := range all {
		all[i] = n.Start(0)
	}
	if err := n.DropOddities(); err != nil {
		return err
	}
	bad, hit := Hostile(n.rand), make([]int, len(stageNames))
	for k := range t.Tries {
		if ctx.Err() != nil {
			return nil
		}
		n.Drop(t.share(k), Usual, bad)
		i := n.rand.IntN(len(all))
		t.await(ctx, all[i], 2*k+k%2) // half of them aimed
		all[i].Kill()
		hit[n.struck(all[i])]++
		asleep(ctx, time.Duration(n.rand.Int64N(2e9)))
		if k < t.Tries-1 { // the last stays dead
			all[i] = n.Start(0)
		}
	}
	n.Finish(ctx, 3*time.Minute)
	return nil
}
