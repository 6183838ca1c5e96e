package ladder

import (
	"fmt"
	"math"
	"strconv"
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
	Look, Near, Softness   string // its lines
	NeedsAt, CarriesTo     func(rung string) string
	Marked                 func(rung string) string
	NeedsMore, CarriesNone string
	Plain, Axis            string
	Estimate               func(share float64) string
	Percent                func(share float64) string
}

var english = words{
	Tag: "en-GB",

	Holds:   holdsInEnglish,
	Verdict: verdictInEnglish,
	Rung:    rungInEnglish,
	Basis:   basisInEnglish,

	Look:        "fine detail seen",
	Near:        "seen from 25 cm",
	Softness:    "chance it looks soft",
	NeedsAt:     func(rung string) string { return "needs at least " + rung },
	CarriesTo:   func(rung string) string { return "carries up to " + rung },
	NeedsMore:   "needs more than these sizes",
	CarriesNone: "soft at every size",
	Marked:      func(rung string) string { return "this print: " + rung },
	Plain:       "hardly any fine detail: any size will do",
	Axis:        "size, by its long side",
	Estimate: func(share float64) string {
		return "Estimate. Judged from between where people stand and 25 cm; " + percent(share) + " of the fine detail is asked for."
	},
	Percent: percent,
}

// tell writes the sentences into a ladder whose numbers stand.
func (w words) tell(l *Ladder) {
	l.Holds, l.Verdict, l.Basis = w.Holds(l), w.Verdict(l), w.Basis(l)
	for i := range l.Rungs {
		l.Rungs[i].Sentence = w.Rung(l.Rungs[i], l.Plain)
	}
}

func holdsInEnglish(l *Ladder) string {
	switch {
	case l.Plain:
		return megapixels(l.Pixels) + ", with hardly any fine detail" + enlargedInEnglish(l.Enlarged)
	case l.Effective >= 0.9*l.Pixels:
		return megapixels(l.Pixels) + ", and detail for all of them" + enlargedInEnglish(l.Enlarged)
	}
	return megapixels(l.Pixels) + ", of which detail for about " + megapixels(l.Effective) + enlargedInEnglish(l.Enlarged)
}

func enlargedInEnglish(times float64) string {
	if times == 0 {
		return ""
	}
	return fmt.Sprintf("; the file looks enlarged %.3g times", times)
}

func verdictInEnglish(l *Ladder) string {
	if l.Plain {
		return "Has hardly any fine detail, so any size will do."
	}
	return needsInEnglish(l) + " " + carriesInEnglish(l)
}

// large is the long side, in mm, from which a print is called large: A3 in the
// hand of one who has a desk printer.
const large = 400

func needsInEnglish(l *Ladder) string {
	small, last := l.Rungs[0], l.Rungs[len(l.Rungs)-1]
	needs := l.rung(l.Needs.Rung)
	switch {
	case needs == nil && len(l.Rungs) == 1:
		return fmt.Sprintf("Shows only %s of its fine detail at %s.", percent(last.Look.Detail), last.Name)
	case needs == nil:
		return fmt.Sprintf("Shows only %s of its fine detail at %s, and %s at %s: print this one larger than any of these.",
			percent(small.Look.Detail), small.Name, percent(last.Look.Detail), last.Name)
	case needs.Name == small.Name:
		return fmt.Sprintf("Loses nothing small: %s of its fine detail is seen at %s.", percent(small.Look.Detail), small.Name)
	}
	what := "print it at " + needs.Name + " or larger"
	switch carries := l.rung(l.Carries.Rung); {
	case carries == nil || carries.WidthMM < needs.WidthMM:
		what = "print it as large as it can be"
	case max(needs.WidthMM, needs.HeightMM) >= large:
		what = "print this one large"
	}
	return fmt.Sprintf("Shows %s of its fine detail at %s, %s at %s: %s.",
		percent(small.Look.Detail), small.Name, percent(needs.Look.Detail), needs.Name, what)
}

func carriesInEnglish(l *Ladder) string {
	last := l.Rungs[len(l.Rungs)-1]
	switch l.Carries.Rung {
	case "":
		return "It looks soft even at " + l.Rungs[0].Name + "."
	case last.Name:
		return "It carries up to " + last.Name + "."
	}
	return "It carries up to " + l.Carries.Rung + "; larger, it looks soft."
}

func rungInEnglish(r Rung, plain bool) string {
	if plain {
		return "There is hardly any fine detail to see."
	}
	seen := fmt.Sprintf("About %s of its fine detail is seen from %s", percent(r.Look.Detail), metres(r.Look.DistanceMM))
	if r.Look.DistanceMM-r.Near.DistanceMM >= 10 {
		seen += fmt.Sprintf(" and %s from %s", percent(r.Near.Detail), metres(r.Near.DistanceMM))
	}
	switch {
	case r.Soft:
		return fmt.Sprintf("%s; it looks soft (%s times the threshold).", seen, figure(r.Look.Softness))
	case r.Near.Softness >= 1:
		return seen + "; it looks sharp, but soft from nearer."
	}
	return seen + "; it looks sharp."
}

func basisInEnglish(l *Ladder) string {
	return fmt.Sprintf("Estimate: contrast sensitivity by Barten (2004) at %s cd/m² for a viewer of acuity %s; what of a picture is fine detail, and what it lacks where it is soft, is house judgement.",
		figure(l.Viewer.LuminanceCDM2), figure(l.Viewer.Acuity))
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

func megapixels(n float64) string { return figure(n) + " MP" }

// figure is a number to two figures, or to the whole.
func figure(v float64) string {
	places := 0
	switch {
	case v < 0.95:
		places = 2
	case v < 9.5:
		places = 1
	}
	scale := math.Pow10(places)
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}

func metres(mm float64) string {
	if mm < 995 {
		return fmt.Sprintf("%.0f cm", mm/10)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}
