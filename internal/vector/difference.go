package vector

import (
	"encoding/binary"
	"fmt"
)

// Difference16 packs a row of interleaved 16-bit samples with TIFF's horizontal
// predictor (TIFF 6.0 section 14), low byte first: the first step samples, one pixel,
// unchanged, then each sample minus the one step before it, modulo 65536. It subtracts
// whole samples and then splits them into bytes.
//
// dst must have at least 2*len(src) bytes and must not overlap src. Difference16 panics
// if step is below 1.
func Difference16(dst []byte, src []uint16, step int) {
	if step < 1 {
		panic(fmt.Sprintf("vector.Difference16: a pixel of %d samples", step))
	}
	checkLen("Difference16", "dst", len(dst), 2*len(src))
	difference16Plain(dst, src, step, difference16Wide(dst, src, step))
}

// difference16Plain skips the first count samples after the first pixel.
func difference16Plain(dst []byte, src []uint16, step, count int) {
	step = min(step, len(src))
	for i, v := range src[:step] {
		binary.LittleEndian.PutUint16(dst[2*i:], v)
	}
	dst = dst[2*(step+count):]
	now, before := src[step+count:], src[count:len(src)-step]
	for i, v := range now {
		binary.LittleEndian.PutUint16(dst[2*i:2*i+2], v-before[i])
	}
}
