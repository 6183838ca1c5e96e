package sheet

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"sizewright/internal/plural"
)

// Rates are the price of a stock and the speed of a printer on it. 0 means not known, and
// is not estimated. At most one of the three prices is given.
type Rates struct {
	PerM2     float64 `json:"per_m2,omitempty"`
	PerMetre  float64 `json:"per_metre,omitempty"` // of a roll
	PerSheet  float64 `json:"per_sheet,omitempty"`
	Currency  string  `json:"currency,omitempty"` // as it is to be shown
	M2PerHour float64 `json:"m2_per_hour,omitempty"`

	// ModeTimes gives, by mode, how many times as long it takes: 2 is twice as long. A
	// mode that is not here takes as long as no mode.
	ModeTimes map[string]float64 `json:"mode_times,omitempty"`
}

// Problems returns everything that is wrong with the rates of a stock of this kind.
func (r Rates) Problems(k Kind) []Problem {
	var p problems
	var given []string
	for _, v := range []struct {
		key   string
		value float64
		price bool
	}{
		{"per_m2", r.PerM2, true}, {"per_metre", r.PerMetre, true}, {"per_sheet", r.PerSheet, true}, {"m2_per_hour", r.M2PerHour, false},
	} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			p.add(v.key, "%v is not a valid value: give a number above 0, or leave %s out", v.value, v.key)
		} else if v.price && v.value > 0 {
			given = append(given, v.key)
		}
	}
	switch {
	case len(given) > 1:
		p.add(given[1], "a stock has one price, but %s are given: keep one", strings.Join(given, " and "))
	case k == CutSheet && r.PerMetre > 0:
		p.add("per_metre", "a sheet has no price by the metre: give per_sheet or per_m2")
	case k == Roll && r.PerSheet > 0:
		p.add("per_sheet", "a roll has no price by the sheet: give per_metre or per_m2")
	}
	for _, mode := range slices.Sorted(maps.Keys(r.ModeTimes)) {
		if v := r.ModeTimes[mode]; !(v > 0) || math.IsInf(v, 0) {
			p.add("mode_times."+bare(mode), "%v is not a valid factor: give a number above 0, such as 2 for twice as long", v)
		}
	}
	return p
}

// Use is the paper used by one print, or by one run of several on a roll.
type Use struct {
	Kind     Kind
	Prints   int
	WidthMM  float64 // of the paper, across the feed
	LengthMM float64 // along the feed
	InkMM2   float64 // the printed area: pictures, wraps and bleeds
	Mode     string
}

// Use returns the paper that the layout's print uses; none if the layout does not fit.
func (l Layout) Use() Use {
	if !l.Fits {
		return Use{Kind: l.Kind, Mode: l.Mode}
	}
	across, along := l.Sheet.Width, l.Sheet.Height
	if l.LeadingEdge == "right" { // its paper lies on its side
		across, along = along, across
	}
	return Use{l.Kind, 1, across, along, l.Ink.Width * l.Ink.Height, l.Mode}
}

// Money is an amount in a currency, as the configuration names it.
type Money struct {
	Amount   float64 `json:"amount"`
	Currency string  `json:"currency,omitempty"`
}

// Estimate is what prints use. What is not configured is absent. Cost and time are of
// only the prints whose rates are known; Priced and Timed count those.
type Estimate struct {
	Prints  int     `json:"prints"`
	PaperM2 float64 `json:"paper_m2"`
	InkM2   float64 `json:"ink_m2"`
	Sheets  int     `json:"sheets,omitempty"`
	RollM   float64 `json:"roll_m,omitempty"`
	Cost    []Money `json:"cost,omitempty"` // one for each currency, in order of appearance
	Priced  int     `json:"priced,omitempty"`
	Hours   float64 `json:"hours,omitempty"`
	Timed   int     `json:"timed,omitempty"`
}

// Of returns the estimate for a use. Paper is paid for as cut, with its margins; time
// depends on the printed area.
func (r Rates) Of(u Use) Estimate {
	if u.Prints == 0 {
		return Estimate{}
	}
	e := Estimate{Prints: u.Prints, PaperM2: u.WidthMM * u.LengthMM / 1e6, InkM2: u.InkMM2 / 1e6}
	if u.Kind == Roll {
		e.RollM = u.LengthMM / 1e3
	} else {
		e.Sheets = 1
	}
	if price := float64(r.PerM2*e.PaperM2) + float64(r.PerMetre*e.RollM) + float64(r.PerSheet*float64(e.Sheets)); price > 0 {
		e.Cost, e.Priced = []Money{{price, r.Currency}}, u.Prints
	}
	if r.M2PerHour > 0 {
		e.Hours, e.Timed = e.InkM2/r.M2PerHour*cmp.Or(r.ModeTimes[u.Mode], 1), u.Prints
	}
	return e
}

// Plus returns the sum of two estimates.
func (e Estimate) Plus(f Estimate) Estimate {
	e.Cost = slices.Clone(e.Cost)
	for _, m := range f.Cost {
		i := slices.IndexFunc(e.Cost, func(c Money) bool { return c.Currency == m.Currency })
		if i < 0 {
			e.Cost = append(e.Cost, m)
		} else {
			e.Cost[i].Amount += m.Amount
		}
	}
	e.Prints, e.Sheets = e.Prints+f.Prints, e.Sheets+f.Sheets
	e.PaperM2, e.InkM2, e.RollM, e.Hours = e.PaperM2+f.PaperM2, e.InkM2+f.InkM2, e.RollM+f.RollM, e.Hours+f.Hours
	e.Priced, e.Timed = e.Priced+f.Priced, e.Timed+f.Timed
	return e
}

// Times returns the estimate of so many copies.
func (e Estimate) Times(copies int) Estimate {
	all := Estimate{}
	for range copies {
		all = all.Plus(e)
	}
	return all
}

// String writes what is known: "2 prints: 0.91 m² of paper, 1.49 m of roll; 18.20
// EUR; 12 min". It writes "" for an estimate of nothing.
func (e Estimate) String() string {
	if e.Prints == 0 {
		return ""
	}
	paper := []string{fmt.Sprintf("%.2f m² of paper", e.PaperM2)}
	if e.Sheets > 0 {
		paper = append(paper, plural.Count(e.Sheets, "sheet", "sheets"))
	}
	if e.RollM > 0 {
		paper = append(paper, fmt.Sprintf("%.2f m of roll", e.RollM))
	}
	parts := []string{strings.Join(paper, ", ")}
	if len(e.Cost) > 0 {
		var sums []string
		for _, m := range e.Cost {
			sums = append(sums, strings.TrimSpace(fmt.Sprintf("%.2f %s", m.Amount, m.Currency)))
		}
		parts = append(parts, strings.Join(sums, " and ")+e.only(e.Priced))
	}
	if e.Timed > 0 {
		parts = append(parts, clock(e.Hours)+e.only(e.Timed))
	}
	return plural.Count(e.Prints, "print", "prints") + ": " + strings.Join(parts, "; ")
}

// only says for how many prints a figure holds, if not for all.
func (e Estimate) only(n int) string {
	if n == e.Prints {
		return ""
	}
	return fmt.Sprintf(" for %d of them", n)
}

// clock writes a time in minutes, at least one, and hours.
func clock(hours float64) string {
	minutes := int(math.Max(1, math.Round(hours*60)))
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}
