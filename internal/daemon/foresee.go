package daemon

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"sizewright/internal/detail"
	"sizewright/internal/eye"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/render"
)

// mostInterruptions is how often the process may die with an order in hand, or its
// decoding be ended by the system, before the order is taken for the cause. House
// practice: a night of power cuts is one thing, ten another.
const mostInterruptions = 10

// foresee is all that can be known of an order before its pixels: what is held for
// its header, whether the disk has room for its print, the digest of its bytes.
func (j *job) foresee(ctx context.Context) error {
	if err := j.unopened(); err != nil {
		return err
	}
	told := j.header()
	if told == nil {
		// Here and not at the press: an order without room would be decoded for nothing.
		if err := j.reserve(); err != nil {
			return err
		}
	}
	if err := j.digest(ctx); err != nil {
		return err
	}
	return told
}

// unopened refuses what is not even read through, so that no digest of it is on
// record. A file beyond max_file_mib may be of any length, and a sparse one costs its
// sender nothing; one that ended the process ten times may have done so when it
// was read.
func (j *job) unopened() error {
	if n := j.Studio.Interruptions(j.claim.Folder, j.claim.Name, j.claim.Size, j.claim.ModTime); n >= mostInterruptions {
		return &refusal{"interrupted", fmt.Sprintf("%s was in hand %d times when sizewright was ended without warning, so it may be what ends it: look in the system's log for those moments; "+
			"drop it again to have it tried again", j.rec.Source.Name, n)}
	}
	if j.claim.Size <= j.limits.MaxFileBytes {
		return nil
	}
	f, err := photo.OpenFile(j.claim.OriginalPath(), j.limits) // which says so in its words
	if err != nil {
		return j.unreadable(err)
	}
	return f.Close()
}

// header plans the order by what the picture's header says.
func (j *job) header() error {
	info, err := photo.Identify(j.claim.OriginalPath(), j.limits)
	if err != nil {
		return j.unreadable(err)
	}
	if j.order.Output, err = j.output(j.order.Settings); err != nil {
		return &refusal{"stock-profile", fmt.Sprintf("no print for %q until its profile is mended: %v", j.rec.Order.Folder, err)}
	}
	j.order.Caption = render.CaptionWords{Name: stem(j.rec.Source.Name), Date: j.Now().Format(time.DateOnly)}
	plan := render.NewPlan(info, j.order)
	j.rec.Source = record.SourceOf(j.rec.Source, info, plan)
	return j.planned(plan)
}

// measure plans anew by what the pixels say: decoding finds cautions that no header
// gives away.
func (j *job) measure(src *photo.Photo) error {
	j.stage(stageMeasuring)
	measured, spectrum := render.Measure(src)
	j.spectrum = spectrum
	refused := j.planned(render.NewPlan(&src.Info, j.order).WithMeasurement(measured, j.order))
	j.rec.Ladder = j.ladder(src, spectrum)
	return refused
}

// planned has the plan on record, and refuses what it refuses.
func (j *job) planned(p *render.Plan) error {
	j.rec.Plan, j.rec.Cautions = p, slices.Clone(p.Cautions)
	if p.Refusal != nil {
		return &refusal{p.Refusal.Code, p.Refusal.Text}
	}
	return nil
}

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

// unreadable refuses what the picture is to blame for; anything else (a disk
// that does not answer, memory that others took) is a fault.
func (j *job) unreadable(err error) error {
	var bad *photo.Error
	if errors.As(err, &bad) {
		return &refusal{string(bad.Kind), bad.Error()}
	}
	return j.starved(err)
}
