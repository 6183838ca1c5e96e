package detail

import "sizewright/internal/photo"

// page is a picture's luma, to be read row by row by any number of readers.
type page struct {
	w, h     int
	rounding float64 // variance that storing whole steps gave, see rounding
	reader   func() rowReader
	blocks   *blocks // of a JPEG; nil for what is none
}

// rowReader reads rows of luma. It holds scratch: one for each goroutine.
type rowReader interface {
	read(y int, dst []float32) // row y, of the page's width
}

func pageOf(src *photo.Photo) page {
	return page{src.Width, src.Height, rounding(src), func() rowReader { return newLumaReader(src) }, blocksOf(src)}
}
