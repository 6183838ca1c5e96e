package report

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"strings"
	"unicode/utf8"

	"sizewright/internal/exact"
	"sizewright/internal/ladder"
)

// What the rule measures, px.
const (
	ruleWidth  = 640
	ruleEdge   = 36
	ruleHeight = 84
	ruleLine   = 44 // where the line is
)

// rule draws a ladder as a rule: the sizes along it by their diagonal, a bar from the
// smallest that the picture needs to the largest it carries, and this print marked. Equal
// steps are equal ratios. It has the colours of the text.
func rule(l *ladder.Ladder) []byte {
	var b bytes.Buffer
	at := rungPlaces(l)
	fmt.Fprintf(&b, `<svg class="rule-of-sizes" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" role="img" aria-label="%s" fill="none" stroke="currentColor">`,
		ruleWidth, ruleHeight, ruleWidth, ruleHeight, html.EscapeString(ruleSays(l)))
	fmt.Fprintf(&b, `<path d="M%d %dH%d"/>`, ruleEdge, ruleLine, ruleWidth-ruleEdge)
	if from, to, ok := barOf(l, at); ok {
		fmt.Fprintf(&b, `<path class="band" stroke-width="7" d="M%.1f %dH%.1f"/>`, from, ruleLine, to)
	}
	last := math.Inf(-1)
	for i, r := range l.Rungs {
		name := shortName(r.Name)
		width := 6.6 * float64(utf8.RuneCountInString(name))
		marked := r.Name == l.Mark
		fmt.Fprintf(&b, `<path d="M%.1f %dv10"/>`, at[i], ruleLine)
		if marked {
			fmt.Fprintf(&b, `<path class="mark" fill="currentColor" d="M%.1f %dl-6 -11h12z"/><text x="%.1f" y="14" text-anchor="middle" fill="currentColor" stroke="none">this print</text>`, at[i], ruleLine-6, min(max(at[i], 30), ruleWidth-30))
		}
		if at[i]-width/2 > last || marked && at[i]-width/2 > last-width { // names do not run into one another
			fmt.Fprintf(&b, `<text x="%.1f" y="%d" text-anchor="middle" fill="currentColor" stroke="none">%s</text>`, at[i], ruleLine+28, html.EscapeString(name))
			last = at[i] + width/2 + 8
		}
	}
	b.WriteString("</svg>")
	return b.Bytes()
}

// shortName is a size's name, cut where it is longer than any that is usual.
func shortName(name string) string {
	const most = 12
	if letters := []rune(name); len(letters) > most {
		return string(letters[:most-1]) + "\u2026"
	}
	return name
}

// rungPlaces are where the sizes are along the rule, px.
func rungPlaces(l *ladder.Ladder) []float64 {
	at := make([]float64, len(l.Rungs))
	least, most := math.Inf(1), math.Inf(-1)
	for i, r := range l.Rungs {
		at[i] = exact.Log10(max(r.WidthMM, 1)) + exact.Log10(max(r.HeightMM, 1))
		least, most = min(least, at[i]), max(most, at[i])
	}
	for i := range at {
		share := 0.5
		if most > least {
			share = (at[i] - least) / (most - least)
		}
		at[i] = ruleEdge + float64(share*(ruleWidth-2*ruleEdge))
	}
	return at
}

// barOf is from the size the picture needs to the largest it carries, px; false where it
// carries none.
func barOf(l *ladder.Ladder, at []float64) (from, to float64, ok bool) {
	from = math.Inf(1)
	for i, r := range l.Rungs {
		if r.Name == l.Needs.Rung {
			from = at[i]
		}
		if r.Name == l.Carries.Rung {
			to, ok = at[i], true
		}
	}
	if from > to && len(at) > 0 {
		from = at[0]
	}
	return from - 4, to + 4, ok && from <= to
}

// ruleSays is the rule in words.
func ruleSays(l *ladder.Ladder) string {
	var parts []string
	if l.Needs.Rung != "" {
		parts = append(parts, "needs at least "+l.Needs.Rung)
	}
	if l.Carries.Rung != "" {
		parts = append(parts, "carries up to "+l.Carries.Rung)
	}
	if l.Mark != "" {
		parts = append(parts, "this print is "+l.Mark)
	}
	return upperFirst(strings.Join(parts, "; "))
}
