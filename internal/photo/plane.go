package photo

import "encoding/binary"

// plane is one channel of the picture. Its memory may be shared with other planes
// (interleaved) or its own (packed).
type plane struct {
	Grid
	pix    []byte // from the first sample
	stride int    // bytes from row to row
	step   int    // bytes from sample to sample
	wide   bool   // 16-bit samples, big-endian as in PNG and image.Gray16
}

// Grid is where the samples of a plane lie in the picture. The chroma of most JPEGs is
// coarser than the picture. Sample (i, j) lies at
//
//	x = OffX + (i+0.5) SubX - 0.5,  y = OffY + (j+0.5) SubY - 0.5
//
// in pixels of the picture, which is JFIF's centred siting (ITU-T T.871, 6.2). The
// offsets are zero as decoded. They become negative when a picture is turned round whose
// side is no multiple of the subsampling: the part sample is then the first, not the last.
type Grid struct {
	Width, Height int // samples
	SubX, SubY    int // pixels a sample, 1 to 4
	OffX, OffY    int
}

// fine is the grid of a plane that is as fine as the picture.
func fine(w, h int) Grid { return Grid{Width: w, Height: h, SubX: 1, SubY: 1} }

// newPlane allocates a packed plane that is as fine as the picture, in memory.
func newPlane(w, h int, wide bool) plane { return (*Room)(nil).newPlane(w, h, wide) }

// sampleBytes is the size of one sample in bytes.
func sampleBytes(wide bool) int {
	if wide {
		return 2
	}
	return 1
}

// packed reports whether the plane has its memory to itself.
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
	c := newPlane(pl.Width, pl.Height, pl.wide)
	for y := range pl.Height {
		from, to := y*pl.stride, y*c.stride
		for range pl.Width {
			c.set(to, pl.at(from))
			from, to = from+pl.step, to+c.step
		}
	}
	return c
}
