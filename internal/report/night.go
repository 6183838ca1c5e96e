package report

import (
	"fmt"
	"strings"
	"time"

	"sizewright/internal/packing"
	"sizewright/internal/plural"
	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
)

// Night is a night as its report shows it.
type Night struct {
	record.Night
	Paper  *packing.Paper  // what its prints take; nil where that is not known
	Outbox *printed.Outbox // what lies in the outbox as the report is written; nil where that is not told
	Units  string          // that the page gives sizes in: Millimetres, Inches or BothUnits, which "" is too
	Album  *Album          // small pictures of pages before; nil for none
}

// Sentence is the night in one sentence, as the page begins: how many pictures wait for
// somebody, what was made, held and went wrong, from when to when, and the paper it takes.
func (n *Night) Sentence() string { return n.sentence(span(n.Span()), n.Paper) }

// headline is the sentence over the page, which shows the hours and the paper apart.
func (n *Night) headline() string { return n.sentence("", nil) }

func (n *Night) sentence(when string, paper *packing.Paper) string {
	c, left, waiting := n.Counts(), n.LeftAlone(), n.Unmade()
	made := c.Ready + c.WithCautions
	var also []string
	add := func(n int, one, many string) {
		if n > 0 {
			also = append(also, count(n, one, many))
		}
	}
	add(c.Held, "picture was held", "pictures were held")
	add(c.AlreadyMade, "had been made before", "had been made before")
	add(c.Faults, "order met a fault", "orders met a fault")
	if made+len(also) > 0 {
		add(left, "thing was left alone", "things were left alone")
	}

	text := "no print was made" + when
	switch {
	case made == 0 && len(also) == 0 && waiting > 0:
		text = "nothing was made" + when
	case made == 0 && len(also) == 0 && left == 0:
		text = "nothing was waiting" + when
	case made == 0 && len(also) == 0:
		text = "nothing was made" + when + "; what was found was left alone"
	case made > 0:
		text = count(made, "print was made", "prints were made") + when + withCautions(c.WithCautions, made)
		if paper != nil {
			text += takes(paper.Estimate, made)
		}
	}
	if len(also) > 0 {
		text += "; " + plural.List(also, "and")
	}
	if waiting > 0 {
		text = count(waiting, "picture was not made", "pictures were not made") + "; " + text
	}
	return upperFirst(text) + "."
}

func withCautions(n, made int) string {
	switch {
	case n == 0:
		return ""
	case made == 1:
		return ", with cautions"
	case n == made:
		return ", all of them with cautions"
	}
	return ", " + number(n) + " of them with cautions"
}

// span names the days only where there are two of them.
func span(from, to time.Time) string {
	const clock, dayClock = "15:04", "Monday\u00a015:04"
	switch {
	case from.IsZero() || to.IsZero():
		return ""
	case from.Format(time.DateOnly) != to.Format(time.DateOnly):
		return " between " + from.Format(dayClock) + " and " + to.Format(dayClock)
	case from.Format(clock) == to.Format(clock):
		return " at " + to.Format(clock)
	}
	return " between " + from.Format(clock) + " and " + to.Format(clock)
}

// takes is what the night's prints take of paper, to follow "Nine prints were made". of
// is how many there are: not all may lie on a paper that is known.
func takes(e sheet.Estimate, of int) string {
	if e.Prints == 0 {
		return ""
	}
	var kinds []string
	if e.RollM > 0 {
		kinds = append(kinds, fmt.Sprintf("%.2f m of roll", e.RollM))
	}
	if e.Sheets > 0 {
		kinds = append(kinds, count(e.Sheets, "sheet", "sheets"))
	}
	text := fmt.Sprintf("%.2f m\u00b2 of paper", e.PaperM2)
	if kinds != nil {
		text = strings.Join(kinds, " and ") + " (" + text + ")"
	}
	who := "they take "
	switch {
	case of == 1:
		who = "it takes "
	case e.Prints == 1:
		who = "one of them takes "
	case e.Prints < of:
		who = number(e.Prints) + " of them take "
	}
	return "; " + who + typeset(text)
}
