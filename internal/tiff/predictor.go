package tiff

import (
	"unsafe"

	"golang.org/x/sys/cpu"

	"sizewright/internal/vector"
)

// sample is a pixel's component.
type sample interface{ uint8 | uint16 }

// A packer writes a row of samples to dst as the strip's bytes before
// compression. n is the number of samples a pixel has; dst is as long as the
// row is in bytes. The row is left as it is.
type packer[T sample] func(dst []byte, row []T, n int)

// plain8 and plain16 pack samples as they are.
func plain8(dst []byte, row []uint8, _ int) { copy(dst, row) }

func plain16(dst []byte, row []uint16, _ int) {
	if !cpu.IsBigEndian { // the bytes lie as the file has them
		copy(dst, unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(row))), 2*len(row)))
		return
	}
	for i, v := range row {
		le.PutUint16(dst[2*i:2*i+2], v)
	}
}

// difference8 and difference16 pack a row as TIFF's horizontal predictor has it
// (TIFF 6.0 section 14): every sample less the same sample of the pixel before,
// modulo 2 to the sample's bits; the first pixel as it is. Sixteen-bit samples
// are subtracted whole and split into bytes after. Neighbours in a photograph are
// much alike, so the differences are mostly small and compress where the
// samples would not.
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
