package tiff

import "sizewright/internal/vector"

// sample is the type of one component of a pixel.
type sample interface{ uint8 | uint16 }

// A packer writes a row of samples to dst as the strip's bytes before compression. n is
// the number of samples per pixel. dst is as long as the row in bytes. The row is not
// changed.
type packer[T sample] func(dst []byte, row []T, n int)

// plain8 and plain16 pack samples unchanged.
func plain8(dst []byte, row []uint8, _ int) { copy(dst, row) }

func plain16(dst []byte, row []uint16, _ int) {
	for i, v := range row {
		le.PutUint16(dst[2*i:2*i+2], v)
	}
}

// difference8 and difference16 pack a row with TIFF's horizontal predictor (TIFF 6.0
// section 14): every sample minus the same sample of the pixel before, modulo 2 to the
// number of bits; the first pixel unchanged. Sixteen-bit samples are subtracted whole
// and then split into bytes. Neighbouring pixels of a photograph are similar, so the
// differences are mostly small and compress well.
func difference8(dst []byte, row []uint8, n int) {
	n = min(n, len(row))
	copy(dst, row[:n])
	now, before := row[n:], row[:len(row)-n]
	dst = dst[n:][:len(now)]
	for i, v := range now {
		dst[i] = v - before[i]
	}
}

func difference16(dst []byte, row []uint16, n int) { vector.Difference16(dst, row, n) }
