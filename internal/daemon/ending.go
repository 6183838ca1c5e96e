package daemon

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/hold"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// repeat records that the order was made before and makes nothing.
func (j *job) repeat(before record.Entry) error {
	p := *before.Record.Print
	j.rec.Print = &p
	j.rec.Status = before.Record.Status
	j.rec.RepeatOf = before.Path
	j.rec.Cautions = slices.Clone(before.Record.Cautions)
	j.rec.Plan, j.rec.Ladder = before.Record.Plan, before.Record.Ladder
	return j.publish()
}

// publish hands the made files and the record to the outbox.
func (j *job) publish(files ...studio.Made) error {
	files = append(files, recordFile)
	return j.settle(files,
		func() (studio.Names, error) { return j.claim.Names(order.Stem(j.rec.Source.Name), suffixes(files)...) },
		j.claim.Publish)
}

// hold hands the untouched original to the held folder with its record and
// the reason in a text file. The reason names the picture, and is one line whatever
// that is called.
func (j *job) hold(no *hold.Hold) error {
	j.rec.Hold(no)
	if err := j.write(reasonFile, j.rec.ReasonFile()); err != nil {
		return err
	}
	files := []studio.Made{reasonFile, recordFile}
	return j.settle(files,
		func() (studio.Names, error) { return j.claim.HeldNames(suffixes(files)...) },
		j.claim.Hold)
}

// nameTries is how often a set of names is chosen again.
const nameTries = 20

// settle chooses names, writes the record that holds them and ends the claim;
// a name taken in between is chosen again.
func (j *job) settle(files []studio.Made, choose func() (studio.Names, error),
	end func(studio.Names, ...studio.Made) (studio.Outcome, error)) error {
	j.stage(stageSaving)
	if err := j.worker.undisturbed(j.claim); err != nil {
		return err
	}
	for range nameTries {
		names, err := choose()
		if err != nil {
			return err
		}
		j.rec.Source.Original = names.OriginalIn + "/" + names.Original
		if err := j.writeRecord(names); err != nil {
			return err
		}
		finish := func() error {
			out, err := end(names, files...)
			if err == nil {
				j.done(names.MadeIn+"/"+names.Stem+recordSuffix, out)
			}
			return err
		}
		err = finish()
		switch {
		case errors.Is(err, studio.ErrNameTaken):
			continue
		case err != nil && j.claim.Decided():
			j.worker.later(finish)
		}
		return err
	}
	return fmt.Errorf("no free name for %s after %d tries", j.rec.Source.Name, nameTries)
}

// later keeps the end of an order that could not be carried out, be it decided or on
// its way back: a folder that may not be written to at this moment, say.
func (w *worker) later(finish func() error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.undone = append(w.undone, finish)
}

// finishUndone tries again to carry out what was decided. What goes wrong again has
// been told already.
func (w *worker) finishUndone() {
	w.mu.Lock()
	undone := w.undone
	w.undone = nil
	w.mu.Unlock()
	for _, finish := range undone {
		if err := finish(); err != nil && !errors.Is(err, studio.ErrGone) {
			w.later(finish)
		}
	}
}

func suffixes(files []studio.Made) []string {
	out := make([]string, len(files))
	for i, f := range files {
		out[i] = f.Suffix
	}
	return out
}

func (j *job) writeRecord(names studio.Names) error {
	if j.rec.Print != nil && j.rec.RepeatOf == "" {
		j.rec.Print.File, j.rec.Print.Preview = names.Stem+tiffFile.Suffix, names.Stem+previewFile.Suffix
		if j.decision.Order.Output.Kind == order.ToStock {
			j.rec.Print.OnPaper = names.Stem + onPaperFile.Suffix
		}
		for i := range j.rec.Print.Crops {
			c := &j.rec.Print.Crops[i]
			c.File, c.Before = names.Stem+"."+c.Name+".jpg", names.Stem+"."+c.Name+".before.jpg"
		}
		if j.rec.Plan.Paper != nil {
			j.rec.Print.Diagram = names.Stem + diagramFile.Suffix
		}
		if j.rec.Gamut != nil {
			j.rec.Print.GamutMap = names.Stem + gamutFile.Suffix
		}
	}
	j.rec.Times.Finished = j.worker.Now().Truncate(time.Millisecond)
	data, err := j.rec.Encode()
	if err != nil {
		return err
	}
	return j.write(recordFile, data)
}

func (j *job) done(path string, out studio.Outcome) {
	e := record.Entry{Path: path, Record: *j.rec}
	j.worker.keep(e)
	j.worker.enough(identityOf(j.claim))
	j.worker.doubts(j.rec)
	j.worker.album.Prepare(j.worker.Studio.Root(), e)
	for _, r := range out.Renamed {
		j.worker.Log.Warn("a name was taken at the last moment", zap.String("wanted", r.Wanted), zap.String("got", r.Got))
		j.worker.note(record.Left{Folder: j.rec.Order.Folder, Name: j.rec.Source.Name,
			Text: fmt.Sprintf("somebody took the name %s at the last moment, so what was made lies at %s and the record may not lead to it", r.Wanted, r.Got)})
	}
	if out.Untidy != nil {
		j.worker.Log.Warn("the emptied claim is still there", zap.Error(out.Untidy))
	}
	j.worker.Log.Info(string(j.rec.Status), zap.String("folder", j.rec.Order.Folder), zap.String("name", j.rec.Source.Name),
		zap.String("record", e.Path), zap.String("reason", j.rec.Why()), zap.Strings("cautions", codes(j.rec.Cautions)),
		zap.String("repeat_of", j.rec.RepeatOf), zap.Duration("took", j.rec.Times.Finished.Sub(j.rec.Times.Claimed)))
	j.worker.hand.ended(e)
}

func codes(cautions []photo.Caution) []string {
	out := make([]string, len(cautions))
	for i, c := range cautions {
		out[i] = c.Code
	}
	slices.Sort(out)
	return out
}
