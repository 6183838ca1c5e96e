package ladder

import (
	"fmt"
	"strconv"

	"sizewright/internal/vision"
)

// tell sets the sentences of a ladder from its numbers.
func (l *Ladder) tell() {
	l.Holds, l.Verdict, l.Basis = holds(l), verdict(l), basis(l)
	for i := range l.Rungs {
		l.Rungs[i].Sentence = rungSentence(l.Rungs[i], l.Plain)
	}
}

// oneDistance returns the viewing distance that was given for all rungs, or 0.
func oneDistance(l *Ladder) float64 {
	from := l.Rungs[0].Look.DistanceMM
	for _, r := range l.Rungs {
		if r.Look.DistanceMM != r.Usual.DistanceMM || r.Look.DistanceMM != from {
			return 0
		}
	}
	return from
}

// lookName names the line of the detail seen from the look distance.
func lookName(l *Ladder) string {
	if from := oneDistance(l); from > 0 {
		return "seen from " + vision.FormatDistance(from)
	}
	return "seen, coming nearer"
}

func estimate(l *Ladder) string {
	judged := "between where people stand and 25 cm"
	if from := oneDistance(l); from > 0 {
		judged = vision.FormatDistance(from)
	}
	return "Estimate. Judged from " + judged + "; " + Percent(l.Share) + " of the fine detail is asked for."
}

func holds(l *Ladder) string {
	switch {
	case l.Unmeasured:
		return "too small for its detail to be measured"
	case l.Plain:
		return Megapixels(l.Pixels) + ", with hardly any fine detail" + enlarged(l.Enlarged)
	case l.Effective >= 0.9*l.Pixels:
		return Megapixels(l.Pixels) + ", with detail for all of them" + enlarged(l.Enlarged)
	}
	return Megapixels(l.Pixels) + ", with detail for about " + Megapixels(l.Effective) + enlarged(l.Enlarged)
}

func enlarged(times float64) string {
	if times == 0 {
		return ""
	}
	return fmt.Sprintf("; the file looks enlarged %.3g times", times)
}

func verdict(l *Ladder) string {
	switch {
	case l.Plain:
		return "Has hardly any fine detail, so no size is too small to show it. " + carriesSentence(l)
	case l.Unmeasured:
		return "Judged by its pixels alone. " + advice(l)
	}
	return advice(l)
}

// large is the long side, in mm, from which a print is called large: about A3 (house
// judgement).
const large = 400

func advice(l *Ladder) string {
	small, last := l.Rungs[0], l.Rungs[len(l.Rungs)-1]
	needs, carries := l.rung(l.Needs.Rung), l.rung(l.Carries.Rung)
	switch {
	case len(l.Rungs) == 1:
		return fmt.Sprintf("Shows %s of its fine detail at %s, and %s.", Percent(last.Look.Detail), last.Name, carrying(last))
	case needs != nil && needs.Name == small.Name:
		return fmt.Sprintf("Small is enough: %s of its fine detail is seen at %s. %s", Percent(small.Look.Detail), small.Name, carriesSentence(l))
	case carries == nil || carries.Name != last.Name && (needs == nil || needs.NativePPI < carries.NativePPI):
		return conflict(l, needs, carries)
	case needs == nil:
		return fmt.Sprintf("Shows only %s of its fine detail at %s, and %s at %s: print this one larger than any of these. %s",
			Percent(small.Look.Detail), small.Name, Percent(last.Look.Detail), last.Name, carriesSentence(l))
	}
	what := "print it at " + needs.Name + " or larger"
	if max(needs.WidthMM, needs.HeightMM) >= large {
		what = "print this one large"
	}
	return fmt.Sprintf("Shows %s of its fine detail at %s, %s at %s: %s. %s",
		Percent(small.Look.Detail), small.Name, Percent(needs.Look.Detail), needs.Name, what, carriesSentence(l))
}

// conflict describes a picture whose file is too small before its detail is large enough.
func conflict(l *Ladder, needs, carries *Rung) string {
	small := l.Rungs[0]
	needed := "larger than any of these"
	if needs != nil {
		needed = needs.Name
	}
	text := fmt.Sprintf("Shows %s of its fine detail at %s; to show %s it would have to be %s, ", Percent(small.Look.Detail), small.Name, Percent(l.Share), needed)
	if carries == nil {
		return text + "and the file is too small even for " + small.Name + "."
	}
	return text + fmt.Sprintf("and beyond %s the file is too small: print it at %s, where %s is seen.", carries.Name, carries.Name, Percent(carries.Look.Detail))
}

func carriesSentence(l *Ladder) string {
	last := l.Rungs[len(l.Rungs)-1]
	switch l.Carries.Rung {
	case "":
		return "The file is too small even for " + l.Rungs[0].Name + "."
	case last.Name:
		return "It carries " + last.Name + ", the largest of these" + closer(l) + "."
	}
	return "It carries up to " + l.Carries.Rung + closer(l) + "; larger, the file is too small."
}

// closer says from which rung on a print may look soft up close.
func closer(l *Ladder) string {
	for _, r := range l.Rungs {
		switch {
		case r.Verdict != vision.LookCloser:
		case r.Name == l.Carries.Rung:
			return " (may look soft up close)"
		default:
			return " (may look soft up close from " + r.Name + " on)"
		}
	}
	return ""
}

// carrying is the verdict on a rung, with the numbers where there is something to say.
func carrying(r Rung) string {
	switch r.Verdict {
	case vision.LookCloser:
		return fmt.Sprintf("the file carries it, but it may look soft up close: %.0f ppi, where %.0f look sharp", r.CountedLeastPPI, r.SharpPPI)
	case vision.TooSmall:
		return fmt.Sprintf("the file is too small for it: %.0f ppi, where %.0f is the least", r.CountedMostPPI, r.LeastPPI)
	}
	return "the file carries it"
}

func rungSentence(r Rung, plain bool) string {
	if plain {
		return "There is hardly any fine detail to see; " + carrying(r) + "."
	}
	seen := fmt.Sprintf("About %s of its fine detail is seen from %s", Percent(r.Look.Detail), vision.FormatDistance(r.Look.DistanceMM))
	if r.Look.DistanceMM-r.Near.DistanceMM >= 10 {
		seen += fmt.Sprintf(" and %s from %s", Percent(r.Near.Detail), vision.FormatDistance(r.Near.DistanceMM))
	}
	return seen + "; " + carrying(r) + "."
}

func basis(l *Ladder) string {
	return fmt.Sprintf("Estimate: contrast sensitivity by Barten (2004) at %s cd/m² for a viewer of acuity %s; what counts as fine detail, and what a file must have, is common practice.",
		figure(l.Viewer.LuminanceCDM2), figure(l.Viewer.Acuity))
}

// Percent formats a share as a percentage.
func Percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// Megapixels formats millions of pixels.
func Megapixels(n float64) string { return figure(n) + " MP" }

// figure formats a number with two digits, or as a whole number from 9.5 on.
func figure(v float64) string {
	places := 0
	switch {
	case v < 0.95:
		places = 2
	case v < 9.5:
		places = 1
	}
	round(atLeast(places, v), &v)
	return strconv.FormatFloat(v, 'f', -1, 64)
}
