package ladder

import (
	"fmt"
	"strconv"

	"sizewright/internal/eye"
)

// words is everything a ladder says, in one language. Another language is another
// value of this type; nothing a person reads is written elsewhere in this package.
type words struct {
	Tag string // BCP 47

	Holds   func(l *Ladder) string
	Verdict func(l *Ladder) string
	Rung    func(r Rung, plain bool) string
	Basis   func(l *Ladder) string

	// The plot.
	Look                   func(l *Ladder) string // its lines
	Near, Softness         string
	NeedsAt, CarriesTo     func(rung string) string
	Marked                 func(rung string) string
	NeedsMore, CarriesNone string
	Plain, Axis, Upright   string
	Estimate               func(l *Ladder) string
	Percent                func(share float64) string
}

var english = words{
	Tag: "en-GB",

	Holds:   holdsInEnglish,
	Verdict: verdictInEnglish,
	Rung:    rungInEnglish,
	Basis:   basisInEnglish,

	Look:        lookInEnglish,
	Near:        "seen from 25 cm",
	Softness:    "chance it looks soft",
	NeedsAt:     func(rung string) string { return "needs at least " + rung },
	CarriesTo:   func(rung string) string { return "carries up to " + rung },
	NeedsMore:   "needs more than these sizes",
	CarriesNone: "soft at every size",
	Marked:      func(rung string) string { return "this print: " + rung },
	Plain:       "hardly any fine detail: any size will do",
	Axis:        "size, by its long side",
	Upright:     "fine detail seen",
	Estimate:    estimateInEnglish,
	Percent:     Percent,
}

// tell writes the sentences into a ladder whose numbers stand.
func (w words) tell(l *Ladder) {
	l.Holds, l.Verdict, l.Basis = w.Holds(l), w.Verdict(l), w.Basis(l)
	for i := range l.Rungs {
		l.Rungs[i].Sentence = w.Rung(l.Rungs[i], l.Plain)
	}
}

// oneDistance is from where all rungs are judged, where that was given; or 0.
func oneDistance(l *Ladder) float64 {
	from := l.Rungs[0].Look.DistanceMM
	for _, r := range l.Rungs {
		if r.Look.DistanceMM != r.Usual.DistanceMM || r.Look.DistanceMM != from {
			return 0
		}
	}
	return from
}

// lookInEnglish names the line from where prints are judged.
func lookInEnglish(l *Ladder) string {
	if from := oneDistance(l); from > 0 {
		return "seen from " + eye.Metres(from)
	}
	return "seen, coming nearer"
}

func estimateInEnglish(l *Ladder) string {
	judged := "between where people stand and 25 cm"
	if from := oneDistance(l); from > 0 {
		judged = eye.Metres(from)
	}
	return "Estimate. Judged from " + judged + "; " + Percent(l.Share) + " of the fine detail is asked for."
}

func holdsInEnglish(l *Ladder) string {
	switch {
	case l.Unmeasured:
		return "too small for its detail to be measured"
	case l.Plain:
		return Megapixels(l.Pixels) + ", with hardly any fine detail" + enlargedInEnglish(l.Enlarged)
	case l.Effective >= 0.9*l.Pixels:
		return Megapixels(l.Pixels) + ", and detail for all of them" + enlargedInEnglish(l.Enlarged)
	}
	return Megapixels(l.Pixels) + ", of which detail for about " + Megapixels(l.Effective) + enlargedInEnglish(l.Enlarged)
}

func enlargedInEnglish(times float64) string {
	if times == 0 {
		return ""
	}
	return fmt.Sprintf("; the file looks enlarged %.3g times", times)
}

func verdictInEnglish(l *Ladder) string {
	switch {
	case l.Plain:
		return "Has hardly any fine detail, so any size will do."
	case l.Unmeasured:
		return "Judged by its pixels alone. " + sizesInEnglish(l)
	}
	return sizesInEnglish(l)
}

// large is the long side, in mm, from which a print is called large: A3 in the
// hand of one who has a desk printer.
const large = 400

func sizesInEnglish(l *Ladder) string {
	small, last := l.Rungs[0], l.Rungs[len(l.Rungs)-1]
	needs, carries := l.rung(l.Needs.Rung), l.rung(l.Carries.Rung)
	switch {
	case len(l.Rungs) == 1:
		return fmt.Sprintf("Shows %s of its fine detail at %s, and %s there.", Percent(last.Look.Detail), last.Name, looks(last))
	case needs != nil && needs.Name == small.Name:
		return fmt.Sprintf("Small is enough: %s of its fine detail is seen at %s. %s", Percent(small.Look.Detail), small.Name, carriesInEnglish(l))
	case carries == nil || carries.Name != last.Name && (needs == nil || needs.NativePPI < carries.NativePPI):
		return tornInEnglish(l, needs, carries)
	case needs == nil:
		return fmt.Sprintf("Shows only %s of its fine detail at %s, and %s at %s: print this one larger than any of these. %s",
			Percent(small.Look.Detail), small.Name, Percent(last.Look.Detail), last.Name, carriesInEnglish(l))
	}
	what := "print it at " + needs.Name + " or larger"
	if max(needs.WidthMM, needs.HeightMM) >= large {
		what = "print this one large"
	}
	return fmt.Sprintf("Shows %s of its fine detail at %s, %s at %s: %s. %s",
		Percent(small.Look.Detail), small.Name, Percent(needs.Look.Detail), needs.Name, what, carriesInEnglish(l))
}

// tornInEnglish is of a picture that looks soft before it is as large as its detail
// asks.
func tornInEnglish(l *Ladder, needs, carries *Rung) string {
	small := l.Rungs[0]
	asks := "more than the largest of these"
	if needs != nil {
		asks = needs.Name
	}
	text := fmt.Sprintf("Shows %s of its fine detail at %s; to show %s it would have to be %s, ", Percent(small.Look.Detail), small.Name, Percent(l.Share), asks)
	if carries == nil {
		return text + "and it looks soft even at " + small.Name + "."
	}
	return text + fmt.Sprintf("and beyond %s it looks soft: print it at %s, where %s is seen.", carries.Name, carries.Name, Percent(carries.Look.Detail))
}

func carriesInEnglish(l *Ladder) string {
	last := l.Rungs[len(l.Rungs)-1]
	switch l.Carries.Rung {
	case "":
		return "It looks soft even at " + l.Rungs[0].Name + "."
	case last.Name:
		return "It carries " + last.Name + ", the largest of these."
	}
	return "It carries up to " + l.Carries.Rung + "; larger, it looks soft."
}

func looks(r Rung) string {
	if r.Soft {
		return "looks soft"
	}
	return "looks sharp"
}

func rungInEnglish(r Rung, plain bool) string {
	if plain {
		return "There is hardly any fine detail to see."
	}
	seen := fmt.Sprintf("About %s of its fine detail is seen from %s", Percent(r.Look.Detail), eye.Metres(r.Look.DistanceMM))
	if r.Look.DistanceMM-r.Near.DistanceMM >= 10 {
		seen += fmt.Sprintf(" and %s from %s", Percent(r.Near.Detail), eye.Metres(r.Near.DistanceMM))
	}
	switch {
	case r.Soft:
		return fmt.Sprintf("%s; it looks soft, for want of what is finer than %s cycles a mm (%s times the threshold).", seen, figure(r.Missing.LowPerMM), figure(r.Look.Softness))
	case r.Near.Softness >= 1:
		return seen + "; it looks sharp, but soft from nearer."
	}
	return seen + "; it looks sharp."
}

func basisInEnglish(l *Ladder) string {
	return fmt.Sprintf("Estimate: contrast sensitivity by Barten (2004) at %s cd/m² for a viewer of acuity %s; what of a picture is fine detail, and what it lacks where it is soft, is house judgement.",
		figure(l.Viewer.LuminanceCDM2), figure(l.Viewer.Acuity))
}

// Percent is a share in words.
func Percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// Megapixels are millions of pixels in words.
func Megapixels(n float64) string { return figure(n) + " MP" }

// figure is a number to two figures, or to the whole.
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
