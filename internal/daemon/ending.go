package daemon

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/hold"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/report"
	"sizewright/internal/studio"
)

// repeat records that the order was made before and makes nothing.
func (j *job) repeat(before record.Entry) error {
	p := *before.Record.Print
	j.rec.Print = &p
	j.rec.Status = before.Record.Status
	j.rec.RepeatOf = before.Path
	j.rec.Reprint = before.Record.OnPaper() != record.ToPrint
	j.rec.Cautions = slices.Clone(before.Record.Cautions)
	j.rec.Verdict = before.Record.Verdict
	j.rec.Plan, j.rec.Ladder = before.Record.Plan.AskedAs(j.decision.Plan), before.Record.Ladder
	return j.publish()
}

// publish hands the made files and the record to the outbox.
func (j *job) publish(files ...studio.File) error {
	files = append(files, recordFile)
	return j.end(files,
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
	files := []studio.File{reasonFile, recordFile}
	return j.end(files,
		func() (studio.Names, error) { return j.claim.HeldNames(suffixes(files)...) },
		j.claim.Hold)
}

// nameTries is how often a set of names is chosen again.
const nameTries = 20

// end chooses names, writes the record that holds them and ends the claim;
// a name taken in between is chosen again.
func (j *job) end(files []studio.File, choose func() (studio.Names, error),
	carryOut func(studio.Names, ...studio.File) (studio.Outcome, error)) error {
	j.progress.stage(stageSaving)
	if err := undisturbed(j.claim, j.writers); err != nil {
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
			out, err := carryOut(names, files...)
			if err == nil {
				j.published(record.Entry{Path: names.MadeIn + "/" + names.Stem + recordSuffix, Record: *j.rec}, out)
			}
			return err
		}
		err = finish()
		switch {
		case errors.Is(err, studio.ErrNameTaken):
			continue
		case err != nil && j.claim.Decided():
			j.later(finish)
		}
		return err
	}
	return fmt.Errorf("no free name for %s after %d tries", j.rec.Source.Name, nameTries)
}

// unfinished are ends of orders that could not be carried out, be they decided or on
// their way back: a folder that may not be written to at this moment, say.
type unfinished struct {
	mu   sync.Mutex
	ends []func() error
}

func (u *unfinished) add(finish func() error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.ends = append(u.ends, finish)
}

// retry tries again to carry them out. What goes wrong again has been told already.
func (u *unfinished) retry() {
	u.mu.Lock()
	ends := u.ends
	u.ends = nil
	u.mu.Unlock()
	for _, finish := range ends {
		if err := finish(); err != nil && !errors.Is(err, studio.ErrGone) {
			u.add(finish)
		}
	}
}

func suffixes(files []studio.File) []string {
	out := make([]string, len(files))
	for i, f := range files {
		out[i] = f.Suffix
	}
	return out
}

func (j *job) writeRecord(names studio.Names) error {
	if j.rec.Print != nil && j.rec.RepeatOf == "" {
		j.rec.Print.File, j.rec.Print.Preview = names.Stem+j.tiffs[0].Suffix, names.Stem+previewFile.Suffix
		j.rec.Print.Labels = nil
		if j.decision.Order.Settings.Label {
			for _, t := range j.tiffs {
				j.rec.Print.Labels = append(j.rec.Print.Labels, names.Stem+labelSuffix(t))
			}
		}
		if e := j.rec.Print.Edition; e != nil {
			for i := range e.Prints {
				e.Prints[i].File = names.Stem + j.tiffs[i].Suffix
			}
		}
		if j.decision.Order.Output.Kind == order.ToStock {
			j.rec.Print.OnPaper = names.Stem + onPaperFile.Suffix
		}
		for i := range j.rec.Print.Crops {
			c := &j.rec.Print.Crops[i]
			c.File, c.Before = names.Stem+"."+c.Name+".jpg", names.Stem+"."+c.Name+".before.jpg"
		}
		if j.rec.Plan.Cropping != nil {
			j.rec.Print.Cropped = names.Stem + croppedFile.Suffix
		}
		if j.rec.Plan.Paper != nil {
			j.rec.Print.Diagram = names.Stem + diagramFile.Suffix
		}
		if j.rec.Gamut != nil {
			j.rec.Print.GamutMap = names.Stem + gamutFile.Suffix
		}
	}
	j.rec.Times.Finished = j.now().Truncate(time.Millisecond)
	data, err := j.rec.Encode()
	if err != nil {
		return err
	}
	return j.write(recordFile, data)
}

// published notes how an order ended, to tell of it and to recognise another like it.
func (r *run) published(claim *studio.Claim, e record.Entry, made studio.Outcome) {
	rec := &e.Record
	r.known.Add(e)
	r.night.made(e)
	if rec.Reprint {
		r.tidying.askedAgain(rec.RepeatOf)
	}
	r.shortages.forget(versionOf(claim))
	r.rechecks.add(rec)
	r.album.Prepare(report.Making{Root: r.Studio.Root(), Look: r.look}, e)
	for _, x := range made.Renamed {
		r.Log.Warn("a name was taken at the last moment", zap.String("wanted", x.Wanted), zap.String("got", x.Got))
		r.night.note(record.Left{Folder: rec.Order.Folder, Name: rec.Source.Name,
			Text: fmt.Sprintf("somebody took the name %s at the last moment, so what was made lies at %s and the record may not lead to it", x.Wanted, x.Got)})
	}
	if made.Untidy != nil {
		r.Log.Warn("the emptied claim is still there", zap.Error(made.Untidy))
	}
	r.Log.Info(string(rec.Status), zap.String("folder", rec.Order.Folder), zap.String("name", rec.Source.Name),
		zap.String("record", e.Path), zap.String("reason", rec.Why()), zap.Strings("cautions", codes(rec.Cautions)),
		zap.String("repeat_of", rec.RepeatOf), zap.Duration("took", rec.Times.Finished.Sub(rec.Times.Claimed)))
	r.tracker.ended(e)
}

func codes(cautions []photo.Caution) []string {
	out := make([]string, len(cautions))
	for i, c := range cautions {
		out[i] = c.Code
	}
	slices.Sort(out)
	return out
}
