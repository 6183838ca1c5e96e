package photo

import "encoding/binary"

// decodeRow makes the samples of the row just read big-endian and undoes the horizontal
// predictor. TIFF 6.0, section 14: each sample is stored as its difference from the same
// channel of the pixel before, modulo 2^bits.
func (b *tiffBlocks) decodeRow() {
	if b.bits == 8 {
		if b.predictor {
			for i := b.stored; i < len(b.row); i++ {
				b.row[i] += b.row[i-b.stored]
			}
		}
		return
	}
	if b.dir.order == binary.LittleEndian {
		for i := 0; i+1 < len(b.row); i += 2 {
			b.row[i], b.row[i+1] = b.row[i+1], b.row[i]
		}
	}
	if b.predictor {
		pixel := 2 * b.stored
		for i := pixel; i+1 < len(b.row); i += 2 {
			sum := binary.BigEndian.Uint16(b.row[i:]) + binary.BigEndian.Uint16(b.row[i-pixel:])
			binary.BigEndian.PutUint16(b.row[i:], sum)
		}
	}
}

// scatter copies channel c of the row to a plane, from pixel (x, y) on, without what a
// tile has beyond the picture's edge.
func (b *tiffBlocks) scatter(c, x, y int, pl *plane) {
	n := min(b.blockW, b.width-x)
	dst := pl.pix[y*pl.stride+x*pl.step:][:n*pl.step]
	if b.stored == 1 {
		copy(dst, b.row)
		return
	}
	if b.bits == 8 {
		for i, j := 0, c; i < len(dst); i, j = i+1, j+b.stored {
			dst[i] = b.row[j]
		}
		return
	}
	for i, j := 0, 2*c; i+1 < len(dst); i, j = i+2, j+2*b.stored {
		dst[i], dst[i+1] = b.row[j], b.row[j+1]
	}
}
