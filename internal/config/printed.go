package config

import (
	"slices"

	"sizewright/internal/filename"
	"sizewright/internal/printsize"
)

// A printed is what a [folder] table speaks of: a size by its sides, whichever
// of them is written first and in whatever unit, the stock ("" for none) and the
// resolution in the folder's name (0 for none). Equal lengths are equal float64, since
// package printsize reads decimals.
type printed struct {
	shortMM, longMM float64
	longSideOnly    bool
	stock           string // canonical
	ppi             float64
	job             string // as [filename.Fold] has it, "" for any
}

func newPrinted(f printsize.Path) printed {
	return printed{f.Size.ShortMM(), f.Size.LongMM(), f.Size.LongSideOnly, f.Stock, f.PPI, filename.Fold(f.Job)}
}

// wider lists what speaks of a print, itself last: its size in any job before that in its
// own, and with any resolution before its own.
func (p printed) wider() (all []printed) {
	for _, job := range slices.Compact([]string{"", p.job}) {
		for _, ppi := range slices.Compact([]float64{0, p.ppi}) {
			w := p
			w.job, w.ppi = job, ppi
			all = append(all, w)
		}
	}
	return all
}
