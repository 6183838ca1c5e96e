package ladder

import (
	"cmp"
	"math"
	"slices"

	"sizewright/internal/eye"
	"sizewright/internal/printsize"
)

// A scene is a picture before a viewer. What varies in it is the pitch of the print
// (mm a picture pixel) and the distance.
type scene struct {
	fine          fine
	envelope      eye.Envelope
	options       Options
	width, height float64 // px
}

func newScene(p Picture, o Options) scene {
	return scene{newFine(p.Spectrum), o.Viewer.Envelope(), o, float64(p.Width), float64(p.Height)}
}

func (s scene) head(p Picture) *Ladder {
	l := &Ladder{
		Picture: p.Name, WidthPX: p.Width, HeightPX: p.Height,
		Pixels: s.width * s.height / 1e6,
		Plain:  s.fine.plain,
		PPI:    s.options.PPI, Viewer: s.options.Viewer, Share: s.options.Share,
		Mark: s.options.Mark,
	}
	if p.Spectrum != nil {
		l.Resolution, l.Effective = p.Spectrum.Resolution, p.Spectrum.Effective
		if p.Spectrum.Enlarged > 1 {
			l.Enlarged = p.Spectrum.Enlarged
		}
	}
	return l
}

func (s scene) rungs(sizes []printsize.Size) []Rung {
	rungs := make([]Rung, 0, len(sizes))
	for _, size := range sizes {
		rungs = append(rungs, s.rung(size))
	}
	slices.SortStableFunc(rungs, func(a, b Rung) int { return cmp.Compare(a.WidthMM, b.WidthMM) })
	return rungs
}

func (s scene) rung(size printsize.Size) Rung {
	w, h := size.Fit(s.width > s.height)
	pitch := min(w/s.width, h/s.height)
	r := s.print(pitch)
	r.Name = size.Name
	return r
}

// print is the whole picture printed at a pitch.
func (s scene) print(pitch float64) Rung {
	native := printsize.MMPerInch / pitch
	usual := s.usualDistance(pitch)
	r := Rung{
		WidthMM: pitch * s.width, HeightMM: pitch * s.height,
		NativePPI: native, Scale: s.options.PPI / native,
		Usual:   s.view(pitch, usual),
		Look:    s.view(pitch, eye.LookDistance(usual)),
		Near:    s.view(pitch, eye.NearPointMM),
		Missing: Octave{s.fine.top / pitch, 2 * s.fine.top / pitch},
	}
	r.Soft = r.Look.Softness >= 1
	return r
}

// curve is a print at every few per cent of size from the smallest rung to the
// largest.
func (s scene) curve(rungs []Rung) []Rung {
	const steps = 64
	from, to := rungs[0].WidthMM/s.width, rungs[len(rungs)-1].WidthMM/s.width
	if from == to {
		return nil
	}
	prints := make([]Rung, steps+1)
	for i := range prints {
		prints[i] = s.print(from * math.Pow(to/from, float64(i)/steps))
	}
	return prints
}

// usualDistance is from where a print of this pitch is seen, in mm.
func (s scene) usualDistance(pitch float64) float64 {
	if s.options.DistanceMM > 0 {
		return max(s.options.DistanceMM, eye.NearPointMM)
	}
	return eye.ViewingDistance(pitch * math.Hypot(s.width, s.height))
}

func (s scene) lookDistance(pitch float64) float64 {
	return eye.LookDistance(s.usualDistance(pitch))
}

func (s scene) view(pitch, distance float64) View {
	soft := s.softness(pitch, distance)
	return View{
		DistanceMM:      distance,
		PixelsPerDegree: perDegree(pitch, distance),
		Detail:          s.detail(pitch, distance),
		Softness:        soft,
		SoftnessChance:  eye.Chance(soft),
	}
}

func perDegree(pitch, distance float64) float64 {
	return eye.PixelsPerDegree(printsize.MMPerInch/pitch, distance)
}

// detail is the share of the fine detail that is seen, 0..1; 1 where there is
// none to miss. At a fixed distance it never falls as the pitch grows: every band
// moves to lower frequencies, where the envelope is no lower, and the printer's
// pixels cut less off.
func (s scene) detail(pitch, distance float64) float64 {
	degree := perDegree(pitch, distance)
	finest := 0.5 * s.options.PPI * pitch / printsize.MMPerInch // that the printer prints, cycles a picture pixel
	seen, all := 0.0, 0.0
	for _, p := range s.fine.parts {
		all += p.weight
		printed := min(max(math.Log(finest/p.low)/math.Log(p.high/p.low), 0), 1)
		seen += p.weight * printed * s.envelope.Sensation(p.centre*degree, p.mean)
	}
	if all == 0 {
		return 1
	}
	return min(seen/all, 1)
}

// softness is by how many times the missing octave would be above the threshold.
func (s scene) softness(pitch, distance float64) float64 {
	centre := math.Sqrt2 * s.fine.top * perDegree(pitch, distance)
	return s.envelope.At(centre) * s.fine.missing
}

// sameView fills in the distances of one perspective: a print twice as wide shows
// it from twice as far.
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
