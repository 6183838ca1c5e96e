package ladder

import (
	"cmp"
	"slices"

	"sizewright/internal/detail"
	"sizewright/internal/exact"
	"sizewright/internal/printsize"
	"sizewright/internal/vision"
)

// A scene is a picture and a viewer. Its methods take the print's pitch (mm per picture
// pixel) and the viewing distance.
type scene struct {
	fine          fine
	envelope      vision.Envelope
	options       Options
	width, height float64 // px
	counted       vision.Share
}

func newScene(p Picture, o Options) scene {
	return scene{newFine(p.Spectrum), o.Viewer.Envelope(), o, float64(p.Width), float64(p.Height), cmp.Or(p.Counted, Counted(p.Spectrum))}
}

func (s scene) head(p Picture) *Ladder {
	l := &Ladder{
		Picture: p.Name, WidthPX: p.Width, HeightPX: p.Height,
		Pixels: s.width * s.height / 1e6,
		Plain:  s.fine.plain, Unmeasured: s.fine.unmeasured,
		PPI: s.options.PPI, Viewer: s.options.Viewer, Share: s.options.Share,
		Mark: s.options.Mark, Bands: []detail.Band{},
	}
	if p.Spectrum != nil {
		l.Bands = append(l.Bands, p.Spectrum.Bands...)
		l.Regions = regionsOf(p.Spectrum.Regions)
		l.Resolution, l.Effective = p.Spectrum.Resolution, p.Spectrum.Effective
		if p.Spectrum.Enlarged > 1 {
			l.Enlarged = p.Spectrum.Enlarged
		}
	}
	return l
}

func (s scene) rungs(sizes []printsize.Size) []Rung {
	rungs := make([]Rung, 0, len(sizes))
	named := map[string]bool{}
	for _, size := range sizes {
		if !named[size.Name] {
			rungs = append(rungs, s.rung(size))
		}
		named[size.Name] = true
	}
	slices.SortStableFunc(rungs, func(a, b Rung) int { return cmp.Compare(b.NativePPI, a.NativePPI) })
	return rungs
}

func (s scene) rung(size printsize.Size) Rung {
	p := s.within(size)
	if s.options.Print != nil && size.Name == s.options.Mark {
		p = *s.options.Print
	}
	distance := s.options.Distances[size.Name]
	if distance == 0 {
		distance = s.options.DistanceMM
	}
	r := s.print(p, distance)
	r.Name = size.Name
	levels := s.levels(size.Name, p)
	r.LeastPPI, r.SharpPPI, r.Verdict = levels.Least, levels.Sharp, levels.Judge(r.NativePPI, s.counted)
	r.CountedLeastPPI, r.CountedMostPPI = s.counted.Least*r.NativePPI, s.counted.Most*r.NativePPI
	return r
}

// within returns the print of the whole picture, as large as fits a size.
func (s scene) within(size printsize.Size) Print {
	w, h := size.Fit(s.width > s.height)
	return s.whole(min(w/s.width, h/s.height))
}

// whole returns the print of the whole picture at a pitch.
func (s scene) whole(pitch float64) Print {
	return Print{pitch * s.width, pitch * s.height, printsize.MMPerInch / pitch}
}

// print evaluates a print at a given distance, or at the usual ones if given is 0.
func (s scene) print(p Print, given float64) Rung {
	usual, look := distances(p, given)
	pitch := printsize.MMPerInch / p.NativePPI
	return Rung{
		WidthMM: p.WidthMM, HeightMM: p.HeightMM,
		NativePPI: p.NativePPI, Scale: s.options.PPI / p.NativePPI,
		Usual: s.view(pitch, usual),
		Look:  s.view(pitch, look),
		Near:  s.view(pitch, vision.NearPointMM),
	}
}

// levels are what a print at a size asks for.
func (s scene) levels(size string, p Print) vision.Levels {
	diagonal := exact.Hypot(p.WidthMM, p.HeightMM)
	if s.options.Levels != nil {
		return s.options.Levels(size, diagonal)
	}
	return vision.NewLevels(diagonal, cmp.Or(s.options.Distances[size], s.options.DistanceMM), s.options.Viewer.Acuity)
}

// verdict tells whether the file carries a print at a size.
func (s scene) verdict(size string, p Print) vision.Verdict {
	return s.levels(size, p).Judge(p.NativePPI, s.counted)
}

// distances returns the usual distance of a print and the look distance. A given
// distance replaces both.
func distances(p Print, given float64) (usual, look float64) {
	if given > 0 {
		given = max(given, vision.NearPointMM)
		return given, given
	}
	usual = vision.ViewingDistance(exact.Hypot(p.WidthMM, p.HeightMM))
	return usual, vision.LookDistance(usual)
}

// lookDistance returns the look distance, in mm, of the whole picture at a pitch.
func (s scene) lookDistance(pitch float64) float64 {
	_, look := distances(s.whole(pitch), s.options.DistanceMM)
	return look
}

// curve returns prints at small steps of size from the smallest rung to the largest, or
// none if rungs have distances of their own.
func (s scene) curve(rungs []Rung) []Rung {
	const steps = 64
	from, to := 1/rungs[0].NativePPI, 1/rungs[len(rungs)-1].NativePPI
	if from == to || len(s.options.Distances) > 0 {
		return nil
	}
	prints := make([]Rung, steps+1)
	for i := range prints {
		pitch := printsize.MMPerInch * from * exact.Pow(to/from, float64(i)/steps)
		prints[i] = s.print(s.whole(pitch), s.options.DistanceMM)
	}
	return prints
}

func (s scene) view(pitch, distance float64) View {
	return View{
		DistanceMM:      distance,
		PixelsPerDegree: perDegree(pitch, distance),
		Detail:          s.detail(pitch, distance),
	}
}

func perDegree(pitch, distance float64) float64 {
	return vision.PixelsPerDegree(printsize.MMPerInch/pitch, distance)
}

// detail returns the visible share of the fine detail, 0..1, or 1 if there is none. At
// a fixed distance it never falls as the pitch grows: every band moves to lower
// frequencies, where the envelope is no lower, and the printer's resolution cuts off
// less.
func (s scene) detail(pitch, distance float64) float64 {
	degree := perDegree(pitch, distance)
	finest := 0.5 * s.options.PPI * pitch / printsize.MMPerInch // finest printed frequency, cycles per picture pixel
	seen, all := 0.0, 0.0
	for _, p := range s.fine.parts {
		all += p.weight
		printed := min(max(exact.Log(finest/p.low)/exact.Log(p.high/p.low), 0), 1)
		seen += float64(p.weight * printed * s.envelope.VisibleShare(p.centre*degree, p.mean))
	}
	if all == 0 {
		return 1
	}
	return min(seen/all, 1)
}

// sameView sets the distances of equal perspective: they are in proportion to the width
// of the print.
func (s scene) sameView(l *Ladder) {
	reference := l.rung(s.options.Reference)
	if reference == nil {
		reference = &l.Rungs[len(l.Rungs)-1]
	}
	l.Reference = reference.Name
	for i := range l.Rungs {
		l.Rungs[i].SameViewMM = reference.Usual.DistanceMM * l.Rungs[i].WidthMM / reference.WidthMM
	}
}
