package photo

import "encoding/binary"

// plane is one channel of the picture, over memory that it may share with
// others (interleaved) or have to itself (packed).
//
// A plane may be coarser than the picture, as the chroma of most JPEGs is.
// Sample (i, j) then lies at the picture's position
//
//	x = offX + (i+0.5)*subX - 0.5,  y = offY + (j+0.5)*subY - 0.5
//
// which is JFIF's centred siting (ITU-T T.871, 6.2). The offsets are zero as
// decoded and become negative when a picture whose side is no multiple of the
// subsampling is turned round: the part sample is then the first, not the last.
type plane struct {
	pix        []byte // from the first sample
	stride     int    // bytes from row to row
	step       int    // bytes from sample to sample
	w, h       int    // samples
	wide       bool   // 16-bit samples, big-endian as PNG and image.Gray16 have them
	subX, subY int
	offX, offY int
}

// newPlane allocates a packed plane of w x h samples as fine as the picture.
func newPlane(w, h int, wide bool) plane {
	size := sampleBytes(wide)
	return plane{pix: make([]byte, w*h*size), stride: w * size, step: size,
		w: w, h: h, wide: wide, subX: 1, subY: 1}
}

// sampleBytes is the size of one sample in bytes.
func sampleBytes(wide bool) int {
	if wide {
		return 2
	}
	return 1
}

// packed reports whether the plane shares its memory with no other.
func (pl *plane) packed() bool { return pl.step == sampleBytes(pl.wide) }

// white is the largest sample value.
func (pl *plane) white() uint32 {
	if pl.wide {
		return 0xffff
	}
	return 0xff
}

func (pl *plane) at(i int) uint32 {
	if pl.wide {
		return uint32(binary.BigEndian.Uint16(pl.pix[i:]))
	}
	return uint32(pl.pix[i])
}

func (pl *plane) set(i int, v uint32) {
	if pl.wide {
		binary.BigEndian.PutUint16(pl.pix[i:], uint16(v))
		return
	}
	pl.pix[i] = uint8(v)
}

// compact copies the plane out of shared memory.
func (pl *plane) compact() plane {
	c := newPlane(pl.w, pl.h, pl.wide)
	for y := range pl.h {
		from, to := y*pl.stride, y*c.stride
		for range pl.w {
			c.set(to, pl.at(from))
			from, to = from+pl.step, to+c.step
		}
	}
	return c
}
