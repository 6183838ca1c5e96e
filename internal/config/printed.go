package config

import "sizewright/internal/printsize"

// A printed is what a [folder] table speaks of: a size by its sides, whichever
// of them is written first and in whatever unit, the stock ("" for none) and the
// resolution in the folder's name (0 for none). Equal lengths are equal float64, since
// package printsize reads decimals.
type printed struct {
	shortMM, longMM float64
	longSideOnly    bool
	stock           string // canonical
	ppi             float64
}

func newPrinted(f printsize.Folder) printed {
	return printed{f.Size.ShortMM(), f.Size.LongMM(), f.Size.LongSideOnly, f.Stock, f.PPI}
}
