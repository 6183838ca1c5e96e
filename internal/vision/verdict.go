package vision

import "math"

// Verdict is whether a picture carries a print.
type Verdict string

// The verdicts, from the best.
const (
	Carries    Verdict = "carries"     // it looks sharp to those who come near
	LookCloser Verdict = "look-closer" // it may look soft up close
	TooSmall   Verdict = "too-small"   // no print room would make it
)

var verdictWords = map[Verdict]string{Carries: "carries it", LookCloser: "carries it, but may look soft up close", TooSmall: "too small"}

// Words are the verdict as a person reads it, "" for none.
func (v Verdict) Words() string { return verdictWords[v] }

// Common practice, no source: the numbers of the verdict.
const (
	// handMM is how near people hold a print, or bend over one. An eye resolves 194
	// pixels an inch from there; 200 are taken for sharp in the hand.
	handMM = 450

	// armMM is an arm's length, where those stand who come near to a print on the wall.
	armMM = 650

	// seen is the share of an eye's limit to which a picture's detail is worth having.
	// The limit is that of full contrast, and detail has little: Barten's observer sees
	// one of a hundred up to 20 cycles per degree, and at one minute of arc are 30.
	seen = 2. / 3

	// ordinary is the least true resolution of an ordinary sharp photograph, as a share
	// of its pixels: lenses and colour filters take the rest.
	ordinary = 0.6

	// soft is the most of one that is certainly none: sharp photographs that were enlarged
	// by 1.5 or more have less.
	soft = 0.5

	// typical is the true resolution of most of them.
	typical = 0.75
)

// Levels are what a verdict asks of a print, in pixels an inch of it that carry picture.
// Sharp is at least Least.
type Levels struct {
	Least float64 // below it: too small
	Sharp float64 // below it: may look soft up close
}

// NewLevels returns the levels of a print of this diagonal. A print looks sharp with what
// an eye resolves (one minute of arc, ISO 8596) from where people stand, 1.5 diagonals
// away; but they hold none nearer than 45 cm, and come as near as 65 cm to any on the
// wall. Two thirds of that are the least. So Sharp goes from 194 ppi in the hand to 134
// on the wall, and Least from 129 to 90.
//
// A distance that is given, in mm, is where people stand, be it nearer or further. Least
// stays what it is at an arm's length all the same, for somebody always comes.
func NewLevels(diagonalMM, givenMM, acuity float64) Levels {
	sharp := ResolvablePPI(JudgingDistance(diagonalMM, givenMM), acuity)
	least := seen * max(sharp, ResolvablePPI(armMM, acuity))
	return Levels{Least: least, Sharp: max(sharp, least)}
}

// JudgingDistance returns the distance, in mm, from which a print of this diagonal is
// judged: see [NewLevels].
func JudgingDistance(diagonalMM, givenMM float64) float64 {
	if givenMM > 0 {
		return max(givenMM, NearPointMM)
	}
	return min(max(ViewingDistance(diagonalMM), handMM), armMM)
}

// Judge returns the verdict on a print whose file has ppi pixels an inch, of which a share
// counts. It looks at tenths of a pixel, as they are shown.
func (l Levels) Judge(ppi float64, counted Share) Verdict {
	switch {
	case tenths(ppi*counted.Most) < tenths(l.Least):
		return TooSmall
	case tenths(ppi*counted.Least) < tenths(l.Sharp):
		return LookCloser
	}
	return Carries
}

func tenths(v float64) float64 { return math.Round(10*v) / 10 }

// Share is how much of a file's pixels a side carry picture, above 0 to 1: between the one
// and the other.
type Share struct{ Least, Most float64 }

// All is the share of a file of which every pixel counts.
var All = Share{1, 1}

// Counted returns the share of a file that counts. resolution is the true resolution as a
// share of its pixels, 0 where it is not known; enlarged is how many times it was enlarged,
// up to 1 for none.
//
// Of a file that was enlarged those pixels count that it was enlarged from. If it has less
// detail than ordinary sharp photographs have, nobody knows whether it is a soft
// photograph or one that was enlarged without a trace. So at least those count that would
// hold its detail, and at most those of a typical photograph that has as much. Sharp and
// soft photographs are no two kinds, and no measure is that exact: from soft to ordinary
// both rise to all pixels along straight lines, so that no small difference decides.
func Counted(resolution, enlarged float64) Share {
	times := max(math.Round(100*enlarged)/100, 1)
	own := float64(math.Round(1000*resolution) / 1000 * times) // of the pixels that it was enlarged from
	if !(own > 0) || own >= ordinary {
		return Share{1 / times, 1 / times}
	}
	least, most := own, own/typical
	if own > soft {
		towards := (own - soft) / (ordinary - soft)
		least = soft + float64(towards*(1-soft))
		most = soft/typical + float64(towards*(1-soft/typical))
	}
	return Share{least / times, most / times}
}
