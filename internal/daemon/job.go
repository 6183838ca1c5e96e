package daemon

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/edition"
	"sizewright/internal/hold"
	"sizewright/internal/intake"
	"sizewright/internal/machines"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
	"sizewright/internal/render"
	"sizewright/internal/studio"
	"sizewright/internal/version"
)

// The files of an order, by their names in the claim and what follows the
// picture's name in the end.
var (
	tiffFile    = studio.File{Name: "print.tif", Suffix: ".tif"}
	onPaperFile = studio.File{Name: "paper.jpg", Suffix: ".paper.jpg"}
	gamutFile   = studio.File{Name: "gamut.png", Suffix: ".gamut.png"}
	diagramFile = studio.File{Name: "sheet.svg", Suffix: ".sheet.svg"}
	croppedFile = studio.File{Name: "cropped.jpg", Suffix: ".cropped.jpg"}
	previewFile = studio.File{Name: "preview.jpg", Suffix: ".preview.jpg"}
	recordFile  = studio.File{Name: "record.json", Suffix: recordSuffix}
	reasonFile  = studio.File{Name: "reason.txt", Suffix: ".txt"}
)

const (
	recordSuffix = ".json"

	filePerm       = 0o666 // of what is made, the umask's to narrow: a studio can be a group's
	previewSide    = 1600  // px
	previewQuality = 88
)

// job is one order in hand, and what of the run it needs.
type job struct {
	claim    *studio.Claim
	desk     *order.Desk // by the configuration as it was when the order was taken
	asked    order.Order // by its folder
	decision *order.Decision
	rec      *record.Record
	past     []photo.Caution // of what was made before of the same order
	crops    []studio.File
	tiffs    []studio.File // one, or one for each number of an edition

	log      *zap.Logger
	now      func() time.Time
	cores    int
	progress *tracked
	slots    slots
	held     []slot   // of these, where the order is
	printing *keyLock // by [record.Key], so that one print is made once
	known    *known
	machines *machines.Owner
	whyHere  string                                              // and not by another machine, where there are some
	give     func(of edition.Picture, copies int) ([]int, error) // the next numbers of an edition

	interruptions int // how often the process died with it in hand
	writers       func(path string) intake.Writers
	room          func() (bytes int64, err error)           // on the disk, as [run.room] has it
	shortage      func() int                                // counts that the system ended its decoding, and how often by now
	later         func(finish func() error)                 // has an end tried again that could not be carried out
	inTurn        func(do func() error) error               // [studio.Studio.InTurn]
	published     func(e record.Entry, made studio.Outcome) // hears of its end
}

// errNotWhole is a file that is being written again since it was seen to be whole.
// Nothing is said of it: the watcher already reports this file.
var errNotWhole = errors.New("not whole any more")

// make takes one dropped file to its end. The error is a fault: something
// that is not the picture's doing; the original is then back in its folder.
func (r *run) make(ctx context.Context, c intake.Candidate) (err error) {
	desk := r.settings.desk()
	asked, err := order.NewOrder(c.Folder, desk.Config)
	if err != nil {
		return nil // noteLeft tells of the folder as a whole
	}
	claim, err := r.take(c, desk.Config)
	if claim == nil {
		return err
	}
	j := r.newJob(claim, desk, asked)
	defer j.progress.over()
	r.Log.Info("taken", zap.String("folder", c.Folder), zap.String("name", c.Name), zap.Int64("bytes", c.Size))
	err = r.giveBack(claim, j.guarded(ctx))
	if claim.Decided() && j.rec.Status != record.Held || errors.Is(err, studio.ErrGone) {
		return err // its print is made, or will be
	}
	return errors.Join(err, r.editions.free(claim.ID))
}

func (r *run) newJob(claim *studio.Claim, desk *order.Desk, asked order.Order) *job {
	j := &job{
		claim: claim, desk: desk, asked: asked, log: r.Log, now: r.Now, cores: r.cores(), machines: r.machines,
		progress: r.tracker.started(claim.ID, claim.Folder, claim.Name),
		slots:    r.slots, printing: &r.printing, known: r.known, writers: r.writers,
		room:          func() (int64, error) { return r.room(desk.Config) },
		interruptions: r.Studio.Interruptions(claim.Folder, claim.Name, claim.Size, claim.ModTime),
		shortage:      func() int { return r.shortages.count(versionOf(claim)) },
		later:         r.unfinished.add,
		inTurn:        r.Studio.InTurn,
		rec: &record.Record{
			Schema:   record.SchemaID,
			Program:  version.Version(),
			Order:    record.Order{Folder: claim.Folder, Job: asked.Job, Size: asked.Size.Name, Stock: asked.Stock, Copies: several(asked.Settings.Copies)},
			Source:   record.Source{Name: claim.Name, Bytes: claim.Size},
			Cautions: []photo.Caution{},
			Times:    record.Times{Claimed: r.Now().Truncate(time.Millisecond)},
		},
	}
	j.give = func(of edition.Picture, copies int) ([]int, error) { return r.editions.give(of, copies, claim.ID) }
	j.published = func(e record.Entry, made studio.Outcome) { r.published(claim, e, made) }
	return j
}

// several is a number of copies as a record has it, 0 for one.
func several(copies int) int {
	if copies > 1 {
		return copies
	}
	return 0
}

// take claims a candidate if it is still what was seen; nil if it is not. It may have
// waited long for its turn.
func (r *run) take(c intake.Candidate, cfg *config.Config) (*studio.Claim, error) {
	if err := intake.StillWhole(r.Studio.Drop(), c, cfg.Limits); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w (%w)", errNotWhole, err)
	}
	claim, err := r.Studio.Claim(c.Folder, c.Name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil // taken away again since it was seen
	case errors.Is(err, studio.ErrNotRegular):
		r.night.leave(record.LeftFor(c.Folder, c.Name, "not-a-file", err))
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("taking %s from %s: %w", c.Name, c.Folder, err)
	}
	if claim.Size != c.Size || !claim.ModTime.Equal(c.ModTime) {
		changed := remedy.Errorf("it will be taken again once it rests", "%s: %w since it was seen", filepath.Join("drop", c.Folder, c.Name), studio.ErrChanged)
		return nil, r.giveBack(claim, changed)
	}
	if err := undisturbed(claim, r.writers); err != nil {
		return nil, r.giveBack(claim, err)
	}
	return claim, nil
}

// giveBack returns the original of an order that came to a fault, unless its
// end was already decided: then that is carried out, if later (see settle).
func (r *run) giveBack(claim *studio.Claim, fault error) error {
	if fault == nil || claim.Decided() {
		return fault
	}
	back := func() error { _, err := claim.Return(); return err }
	err := back()
	if err != nil && !errors.Is(err, studio.ErrGone) {
		r.unfinished.add(back)
	}
	return errors.Join(fault, err)
}

var internal = hold.New("internal", "please report it, with the log's lines about it")

// guarded is run with a panic made into a hold: one picture must not take the
// night down, nor be tried again at every look.
func (j *job) guarded(ctx context.Context) (err error) {
	defer func() {
		j.leaveSlots()
		if p := recover(); p != nil {
			j.log.Error("panic", zap.Any("panic", p), zap.ByteString("stack", debug.Stack()))
			err = j.hold(internal.Say("sizewright failed on %s, which is a mistake in the program", j.rec.Source.Name))
		}
	}()
	return j.run(ctx)
}

// run takes an order to its end. Until its bytes are known to be worth it no more
// is spent on it than there must be: first what the file system says, then the
// header, the room on the disk, the digest, and last the pixels.
func (j *job) run(ctx context.Context) error {
	if err := j.enter(ctx, j.slots.reading); err != nil {
		return err
	}
	err := j.foresee(ctx)
	if err == nil {
		err = j.develop(ctx)
	}
	var no *hold.Hold
	if errors.As(err, &no) {
		return j.hold(no)
	}
	return err
}

// develop reads the pixels and makes the print, unless it was made before. Who makes
// the same print at this moment is waited for.
func (j *job) develop(ctx context.Context) error {
	unlock, err := j.printing.lock(ctx, record.Key(j.rec))
	if err != nil {
		return err
	}
	defer unlock()
	before, ok, err := j.already(ctx)
	switch {
	case err != nil:
		return err
	case ok && j.decision.Order.Numbered() && len(before.Record.ToPrint()) != before.Record.Plan.Copies():
		// Those of its numbers that were printed are gone: it asks for the next.
	case ok:
		if err := j.sameBytes(ctx); err != nil {
			return err
		}
		if repeated, err := j.repeatInTurn(); repeated || err != nil {
			return err
		}
	}
	src, err := j.desk.Finish(ctx, j.decision, func() { j.progress.stage(stageMeasuring) })
	if err != nil {
		return j.heldForMemory(err)
	}
	if src != nil {
		defer src.Close() // nothing reads it when print has returned
	}
	if err := j.decided(); err != nil {
		return err
	}
	j.progress.stage(stageWaiting)
	return j.print(ctx, src)
}

// repeatInTurn records that the order was made before, unless its print was tidied away
// meanwhile: another process may do that.
func (j *job) repeatInTurn() (repeated bool, err error) {
	err = j.inTurn(func() error {
		before, found, _ := j.printed(j.rec.Identity)
		if repeated = found && !before.IsRemoved(); !repeated {
			return nil
		}
		return j.repeat(before)
	})
	return repeated, err
}

var madeAnew = caution.New("made-anew", caution.NeedsYou, "Put this print on paper, and delete the one that is not whole.")

var recipeChanged = caution.New("recipe-changed", caution.ForTheRecord, "")

// already finds the same order, made before and still in the outbox. Of one that lies
// there and is no longer whole it cautions, and of one that another version of the
// program made.
func (j *job) already(ctx context.Context) (before record.Entry, found bool, err error) {
	if !closed(j.known.read) {
		j.progress.stage(stageLearning)
	}
	if err := j.known.wait(ctx); err != nil {
		return record.Entry{}, false, err
	}
	j.progress.stage(stageReading)
	before, found, spoilt := j.printed(j.rec.Identity)
	switch {
	case found:
	case len(spoilt) > 0:
		j.past = append(j.past, madeAnew.Say("an earlier print of this order is not whole any more, so it was made anew: %s", strings.Join(spoilt, "; ")))
	default:
		j.sayIfRecipeChanged()
	}
	return before, found, nil
}

// printed finds the print with an identity in this order's folder.
func (j *job) printed(identity string) (before record.Entry, found bool, spoilt []string) {
	return j.known.Find(j.known.reader.Root, record.Key(&record.Record{Order: j.rec.Order, Identity: identity}))
}

// sayIfRecipeChanged cautions that the order was printed before, and is printed again
// since prints are made in another way now.
func (j *job) sayIfRecipeChanged() {
	for _, version := range slices.Backward(j.known.Versions()) {
		if version == render.RecipeVersion {
			continue
		}
		if before, found, _ := j.printed(j.decision.IdentityBy(version, j.rec.Source.SHA256)); found {
			j.past = append(j.past, recipeChanged.Say("this program's way of making prints has changed since %s, when %s was made (recipe version %d, now %d); it was made again",
				before.Record.Times.Finished.Format(time.DateOnly), before.Beside(before.Record.Print.File), version, render.RecipeVersion))
			return
		}
	}
}

// enter waits until a slot is free.
func (j *job) enter(ctx context.Context, s slot) error {
	err := s.enter(ctx)
	if err == nil {
		j.held = append(j.held, s)
	}
	return err
}

// leave frees a slot, if the order is there.
func (j *job) leave(s slot) {
	if i := slices.Index(j.held, s); i >= 0 {
		j.held = slices.Delete(j.held, i, i+1)
		<-s
	}
}

func (j *job) leaveSlots() {
	for len(j.held) > 0 {
		j.leave(j.held[0])
	}
}
