package config

import "sizewright/internal/printsize"

// A printed is what a [folder] table speaks of: a size by its sides, whichever
// of them is written first and in whatever unit, and the stock ("" for none).
// Equal lengths are equal float64, since package printsize reads decimals.
type printed struct {
	shortMM, longMM float64
	stock           string // canonical
}

func newPrinted(size printsize.Size, stock string) printed {
	return printed{size.ShortMM(), size.LongMM(), stock}
}
