package daemon

import (
	"context"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// moved is what people moved to printed/. One look at a time.
type moved struct {
	last map[string]studio.PrintedFile // as they were at the last look
	done map[studio.PrintedFile]bool   // that were seen to
}

// seeMoved marks the prints that people moved to printed/ as printed. A file that was
// there at the look before, as it is now, is whole.
func (r *run) seeMoved(ctx context.Context) {
	m := &r.moved
	now := map[string]studio.PrintedFile{}
	var fresh []studio.PrintedFile
	for _, f := range r.Studio.Printed() {
		now[f.Path] = f
		if before, there := m.last[f.Path]; there && before == f && !m.done[f] {
			fresh = append(fresh, f)
		}
	}
	m.last = now
	if len(fresh) == 0 {
		return
	}
	all, err := printed.MarkMoved(ctx, r.Studio, fresh, r.Now().Truncate(time.Second))
	if err != nil {
		r.Log.Error("what was moved to printed/ could not be noted", zap.Error(err))
		return // and is looked at again
	}
	if m.done == nil {
		m.done = map[studio.PrintedFile]bool{}
	}
	for _, f := range fresh {
		m.done[f] = true
	}
	noted := false
	for _, x := range all {
		noted = noted || x.Err == nil
		if x.Err != nil {
			l := record.LeftFor("printed", x.File.Path, "not-a-print", x.Err)
			l.Pictures = 0 // no print waits because of it
			r.night.leave(l)
			continue
		}
		r.Log.Info("printed", zap.String("file", x.File.Path), zap.String("record", x.Of.Path))
	}
	if noted {
		reader := record.Reader{Root: r.Studio.Root(), Beat: r.reporting.beat}
		if err := r.index(ctx, reader, calendarOf(r.configuration(), r.Now().Location())); err != nil {
			r.Log.Error("the page across nights does not say what was printed", zap.Error(err))
		}
	}
}
