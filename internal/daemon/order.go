package daemon

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/eye"
	"sizewright/internal/intake"
	"sizewright/internal/ladder"
	"sizewright/internal/morning"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/studio"
)

// The files of an order, by their names in the claim and what follows the
// picture's name in the end.
var (
	tiffFile    = studio.Made{Name: "print.tif", Suffix: ".tif"}
	onPaperFile = studio.Made{Name: "paper.jpg", Suffix: ".paper.jpg"}
	gamutFile   = studio.Made{Name: "gamut.png", Suffix: ".gamut.png"}
	diagramFile = studio.Made{Name: "sheet.svg", Suffix: ".sheet.svg"}
	previewFile = studio.Made{Name: "preview.jpg", Suffix: ".preview.jpg"}
	recordFile  = studio.Made{Name: "record.json", Suffix: recordSuffix}
	reasonFile  = studio.Made{Name: "reason.txt", Suffix: ".txt"}
)

const (
	recordSuffix = ".json"

	// mostInterruptions is how often the process may die with an order in hand before
	// the order is taken for the cause. House practice: a night of power cuts is one
	// thing, ten another.
	mostInterruptions = 10

	previewSide    = 1600 // px
	previewQuality = 88
)

// job is one order in hand.
type job struct {
	*worker
	config *config.Config // as it was when the order was taken
	claim  *studio.Claim
	order  render.Order
	rec    *record.Record
	in     []place // where the order is

	spectrum *detail.Spectrum
	crops    []studio.Made
}

// errNotWhole is a file that is being written again since it was seen to be whole.
// Nothing is said of it: whoever looks at the drop folders has it under his eye.
var errNotWhole = errors.New("not whole any more")

// make takes one dropped file to its end. The error is a fault: something
// that is not the picture's doing; the original is then back in its folder.
func (w *worker) make(ctx context.Context, c intake.Candidate) (err error) {
	cfg := w.configuration()
	order, err := render.NewOrder(c.Folder, cfg)
	if err != nil {
		w.leave(morning.Left{Folder: c.Folder, Text: err.Error()})
		return nil
	}
	// It may have waited long for its turn.
	if err := intake.StillWhole(w.Studio.Drop(), c, cfg.Limits); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w (%w)", errNotWhole, err)
	}
	claim, err := w.Studio.Claim(c.Folder, c.Name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil // taken away again since it was seen
	case errors.Is(err, studio.ErrNotRegular):
		w.leave(morning.Left{Folder: c.Folder, Name: c.Name, Text: err.Error()})
		return nil
	case err != nil:
		return fmt.Errorf("taking %s from %s: %w", c.Name, c.Folder, err)
	}
	if claim.Size != c.Size || !claim.ModTime.Equal(c.ModTime) {
		changed := fmt.Errorf("%s: %w since it was seen; it will be taken again once it rests", filepath.Join("drop", c.Folder, c.Name), studio.ErrChanged)
		return w.giveBack(claim, changed)
	}
	w.Progress.Started(c.Folder, c.Name)
	w.Log.Info("taken", zap.String("folder", c.Folder), zap.String("name", c.Name), zap.Int64("bytes", c.Size))
	j := &job{worker: w, config: cfg, claim: claim, order: order, rec: &record.Record{
		Schema:   record.SchemaID,
		Order:    record.Order{Folder: c.Folder, Size: order.Size.Name, Stock: order.Stock},
		Source:   record.Source{Name: c.Name, Bytes: c.Size},
		Cautions: []photo.Caution{},
		Times:    record.Times{Claimed: w.Now().Truncate(time.Millisecond)},
	}}
	return w.giveBack(claim, j.guarded(ctx))
}

// giveBack returns the original of an order that came to a fault, unless its
// end was already decided: then that is carried out, if later (see settle).
func (w *worker) giveBack(claim *studio.Claim, fault error) error {
	if fault == nil || claim.Decided() {
		return fault
	}
	back := func() error { _, err := claim.Return(); return err }
	err := back()
	if err != nil {
		w.later(back)
	}
	return errors.Join(fault, err)
}

// guarded is run with a panic made into a hold: one picture must not take the
// night down, nor be tried again at every look.
func (j *job) guarded(ctx context.Context) (err error) {
	defer func() {
		j.exitAll()
		if r := recover(); r != nil {
			j.Log.Error("panic", zap.Any("panic", r), zap.ByteString("stack", debug.Stack()))
			err = j.hold("internal", fmt.Sprintf("sizewright failed on %s; this is a mistake in the program: please report it, with the log's lines about it", j.rec.Source.Name))
		}
	}()
	return j.run(ctx)
}

func (j *job) run(ctx context.Context) error {
	if err := j.enter(ctx, j.places.reading); err != nil {
		return err
	}
	if err := j.hash(); err != nil {
		return err
	}
	if n := j.Studio.Interruptions(j.claim.Folder, j.claim.Name, j.claim.Size, j.claim.ModTime); n >= mostInterruptions {
		return j.hold("interrupted", fmt.Sprintf("%s was in hand %d times when sizewright was ended without warning, so it may be what ends it: look in the system's log for those moments; "+
			"drop it again to have it tried again", j.rec.Source.Name, n))
	}
	info, err := photo.Identify(j.claim.OriginalPath(), j.config.Limits)
	if err != nil {
		return j.unreadable(err)
	}
	if j.order.Output, err = j.output(j.order.Settings); err != nil {
		return j.hold("stock-profile", fmt.Sprintf("no print for %q until its profile is mended: %v", j.rec.Order.Folder, err))
	}
	j.order.Caption = render.CaptionWords{Name: stem(j.rec.Source.Name), Date: j.Now().Format(time.DateOnly)}
	plan := j.plan(info)
	j.planned(plan)
	j.rec.Source = record.SourceOf(j.rec.Source, info, plan)
	if plan.Refusal != nil {
		return j.hold(plan.Refusal.Code, plan.Refusal.Text)
	}
	src, err := j.Decode(ctx, j.claim.OriginalPath(), j.config.Limits)
	if err != nil {
		return j.unreadable(err)
	}
	defer src.Close() // nothing reads it when print has returned
	j.stage(stageMeasuring)
	measured, spectrum := render.Measure(src)
	j.spectrum = spectrum
	j.planned(plan.WithMeasurement(measured, j.order))
	j.rec.Ladder = j.ladder(src, spectrum)
	if r := j.rec.Plan.Refusal; r != nil {
		return j.hold(r.Code, r.Text)
	}
	j.stage(stageWaiting)
	giveUp, err := j.await(ctx, morning.Key(j.rec))
	if err != nil {
		return err
	}
	defer giveUp()
	if before, ok := j.already(); ok {
		return j.repeat(before)
	}
	if err := j.reserve(); err != nil {
		return err
	}
	return j.print(ctx, src)
}

// stage says what is being done to the order now.
func (j *job) stage(stage string) { j.hand.stage(j.claim.Folder, j.claim.Name, stage) }

// ladder is the picture over the usual sizes, and the order's own print on its rung.
func (j *job) ladder(src *photo.Photo, spectrum *detail.Spectrum) *ladder.Ladder {
	s, own := j.order.Settings, j.order.Size
	sizes := ladder.Usual()
	if !slices.ContainsFunc(sizes, func(s printsize.Size) bool { return s.Name == own.Name }) {
		sizes = append(sizes, own)
	}
	made := j.rec.Plan
	o := ladder.Options{
		PPI: s.PPI, Viewer: eye.Viewer{Acuity: s.Acuity}, Mark: own.Name,
		Print: &ladder.Print{WidthMM: made.Print.WidthMM, HeightMM: made.Print.HeightMM, NativePPI: made.Resolution.NativePPI},
	}
	if s.ViewingDistanceMM > 0 {
		o.Distances = map[string]float64{own.Name: s.ViewingDistanceMM} // the other sizes would hang elsewhere
	}
	return ladder.New(ladder.Picture{Name: j.rec.Source.Name, Width: src.Width, Height: src.Height, Spectrum: spectrum}, sizes, o)
}

func (j *job) planned(p *render.Plan) {
	j.rec.Plan, j.rec.Cautions = p, slices.Clone(p.Cautions)
}

// unreadable holds what the picture is to blame for; anything else (a disk
// that does not answer) is a fault.
func (j *job) unreadable(err error) error {
	var bad *photo.Error
	if errors.As(err, &bad) {
		return j.hold(string(bad.Kind), bad.Error())
	}
	return err
}

func (j *job) hash() error {
	f, err := os.Open(j.claim.OriginalPath())
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if j.rec.Source.Bytes, err = io.Copy(h, f); err != nil {
		return fmt.Errorf("reading %s: %w", j.rec.Source.Name, err)
	}
	j.rec.Source.SHA256 = hex.EncodeToString(h.Sum(nil))
	return nil
}

// plan is the picture's plan, with a caution for a stock the configuration
// does not know though it names others.
func (j *job) plan(info *photo.Info) *render.Plan {
	p := render.NewPlan(info, j.order)
	if s := j.order.Stock; j.config.DoubtsStock(s) {
		p.Cautions = append(p.Cautions, photo.Caution{Code: "unknown-stock",
			Text: fmt.Sprintf("no [stock.%q] in sizewright.toml, so %q was made with the settings for any paper", s, j.rec.Order.Folder)})
	}
	return p
}

// already finds the same order, made before and still in the outbox: at a shared
// studio by another daemon too.
func (j *job) already() (morning.Entry, bool) {
	if j.shared {
		if err := j.made.Learn(j.Studio.Root()); err != nil {
			j.Log.Warn("what other daemons made is not known, so it may be made twice", zap.Error(err))
		}
	}
	return j.made.Find(j.Studio.Root(), morning.Key(j.rec))
}

// stem is a file's name without its extension.
func stem(name string) string {
	if s := strings.TrimSuffix(name, path.Ext(name)); s != "" {
		return s
	}
	return name
}
