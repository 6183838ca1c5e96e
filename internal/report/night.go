package report

import (
	"sizewright/internal/packing"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
)

// Night is a night as its report shows it.
type Night struct {
	record.Night
	Paper *packing.Paper // what its prints take; nil where that is not known
	Units string         // that the page gives sizes in: Millimetres, Inches or BothUnits, which "" is too
	Album *Album         // small pictures of pages before; nil for none
}

// Sentence is the night in one sentence, as the page begins: what was made, held
// and went wrong, from when to when, and the paper it takes.
func (n *Night) Sentence() string {
	var takes sheet.Estimate
	if n.Paper != nil {
		takes = n.Paper.Estimate
	}
	from, to := n.Span()
	return nightInEnglish(n.Counts(), n.LeftAlone(), from, to, takes)
}
