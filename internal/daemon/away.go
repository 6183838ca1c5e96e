package daemon

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/machines"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/tiff"
)

// reach has other machines make prints, if the configuration names a server. Without it
// all are made here.
func (r *run) reach(c *config.Config) {
	m := c.Machines
	if m.NATS == "" {
		return
	}
	file := filepath.Base(r.Studio.ConfigPath())
	tell := func(text, remedy string) { r.night.note(record.Left{Name: file, Text: text, Remedy: remedy}) }
	var err error
	r.machines, err = machines.NewOwner(machines.Server{URL: m.NATS, Credentials: r.fromRoot(m.Credentials), CA: r.fromRoot(m.CA)}, r.Log, tell)
	if err != nil {
		r.Log.Error("prints are made on this machine alone", zap.Error(err))
		f := record.FaultFor("", "", err)
		tell("prints are made on this machine alone: "+f.Text, f.Remedy)
	}
}

// fromRoot is a path that starts at the studio, unless it is absolute or "".
func (r *run) fromRoot(path string) string {
	if path == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(r.Studio.Root(), path)
}

// mostInHand is how many orders are under way at most.
func (r *run) mostInHand() int { return inHand + r.machines.Capacity() }

// turn waits for a worker, if the print is worth sending, or else for the press. A worker
// comes first, since this machine's cores then read the next orders. It returns nil if the
// order has the press. Several numbers of an edition are made here.
func (j *job) turn(ctx context.Context, recipe *render.Recipe) (*machines.Seat, error) {
	if j.machines == nil || len(j.decision.Order.Numbers) > 1 {
		return nil, j.enter(ctx, j.slots.press)
	}
	p := j.decision.Info
	for {
		seat, why, changed := j.machines.Seat(recipe, float64(p.Width)*float64(p.Height)/1e6, j.claim.Size, j.decision.Plan.File.MaxBytes, j.rec.Source.SHA256)
		if j.whyHere = why; seat != nil {
			return seat, nil
		}
		select {
		case j.slots.press <- struct{}{}:
			j.held = append(j.held, j.slots.press)
			return nil, nil
		case <-changed:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// away has the print made on another machine, while the next order is read here. It tells
// whether it was; if not, nothing is left of it.
func (j *job) away(ctx context.Context, seat *machines.Seat) (made bool, err error) {
	number := 0
	if n := j.decision.Order.Numbers; len(n) > 0 {
		number = n[0]
	}
	defer j.leave(j.slots.checking)
	file := j.fileOf(number)
	err = j.writeTIFF(number, file, func(f io.WriteSeeker, recipe render.Recipe) (*tiff.Writer, error) {
		h, err := recipe.Header(j.decision.Info, j.decision.Plan.Profiles)
		if err != nil {
			j.machines.Leave(seat)
			return nil, err
		}
		tw, m, err := j.machines.Make(ctx, seat, machines.Print{
			Recipe: recipe, Header: h, Profiles: j.decision.Plan.Profiles,
			Path: j.claim.OriginalPath(), SHA256: j.rec.Source.SHA256, Bytes: j.claim.Size, Limits: j.desk.Limits, Room: j.decision.Info.Room,
			Decode: j.decodeToCheck, Progress: j.progress.elsewhere,
		}, f)
		if err == nil {
			made := record.Made(*m)
			j.rec.Print.Made = &made
		}
		return tw, err
	})
	if err == nil || ctx.Err() != nil {
		return err == nil, err
	}
	j.log.Warn("made here after all", zap.String("folder", j.rec.Order.Folder), zap.String("name", j.rec.Source.Name), zap.Error(err))
	j.whyHere = "a worker was to make it, but: " + err.Error()
	if err := os.Remove(j.claim.MadePath(file.Name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return false, err
	}
	return false, nil
}

// decodeToCheck decodes the photograph once more, one order at a time.
func (j *job) decodeToCheck(ctx context.Context) (*photo.Photo, error) {
	if err := j.enter(ctx, j.slots.checking); err != nil {
		return nil, err
	}
	return j.desk.Decode(ctx, j.claim.OriginalPath(), j.desk.Limits)
}

// here makes a file of the print on this machine.
func (j *job) here(ctx context.Context, src *photo.Photo) func(io.WriteSeeker, render.Recipe) (*tiff.Writer, error) {
	return func(f io.WriteSeeker, recipe render.Recipe) (*tiff.Writer, error) {
		begun := time.Now()
		tw, err := render.WriteTIFF(ctx, f, recipe, src, j.decision.Plan.Profiles, render.Options{Workers: j.cores, Progress: j.progress.rendering})
		if err == nil && j.machines != nil {
			took := time.Since(begun)
			j.machines.MadeHere(&recipe, took)
			j.rec.Print.Made = &record.Made{Seconds: took.Round(time.Millisecond).Seconds(), Why: j.whyHere}
		}
		return tw, err
	}
}
