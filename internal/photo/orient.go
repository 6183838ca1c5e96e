package photo

// standUpright rearranges the planes so that row 0 is the top of the picture as it is
// seen. Every EXIF orientation is a transposition (5 to 8) followed by mirroring from
// side to side (2, 3, 6, 7), from top to bottom (3, 4, 7, 8), or both. After this no
// other code needs the orientation.
func (p *Photo) standUpright() {
	if p.turned() {
		p.transposeAll()
	}
	for c := range p.planes {
		pl := &p.planes[c]
		switch p.Orientation {
		case 2, 3, 6, 7:
			pl.mirrorX(p.Width)
		}
		switch p.Orientation {
		case 3, 4, 7, 8:
			pl.mirrorY(p.Height)
		}
	}
}

// transposeAll swaps rows and columns of every plane. It needs one spare buffer only: each
// plane is written where the one before it lay.
func (p *Photo) transposeAll() {
	var spare []byte
	for c := range p.planes {
		pl := &p.planes[c]
		need := pl.Width * pl.Height * sampleBytes(pl.wide)
		if cap(spare) < need {
			spare = p.room.take(need)
		}
		old, packed := pl.pix, pl.packed()
		*pl = pl.transposed(spare[:need])
		spare = nil
		if packed {
			spare = old[:cap(old)]
		}
	}
}

// transposed writes the plane, rows for columns, into pix.
func (pl *plane) transposed(pix []byte) plane {
	// Squares small enough that their rows and columns stay in the cache, in columns of
	// squares, so that of a plane in a file some tens of megabytes are in use at a time.
	const block, column = 64, 32 * 64
	size := sampleBytes(pl.wide)
	turned := Grid{pl.Height, pl.Width, pl.SubY, pl.SubX, pl.OffY, pl.OffX}
	t := plane{turned, pix, pl.Height * size, size, pl.wide}
	for x0 := 0; x0 < pl.Width; x0 += column {
		for y0 := 0; y0 < pl.Height; y0 += block {
			for x := x0; x < min(x0+column, pl.Width); x += block {
				pl.transposeSquare(&t, x, y0, min(x+block, pl.Width), min(y0+block, pl.Height))
			}
		}
	}
	return t
}

// transposeSquare writes columns [x0, x1) of rows [y0, y1) into t.
func (pl *plane) transposeSquare(t *plane, x0, y0, x1, y1 int) {
	for x := x0; x < x1; x++ {
		from := y0*pl.stride + x*pl.step
		to := x*t.stride + y0*t.step
		for y := y0; y < y1; y++ {
			t.pix[to] = pl.pix[from]
			if pl.wide {
				t.pix[to+1] = pl.pix[from+1]
			}
			from, to = from+pl.stride, to+t.step
		}
	}
}

// mirrorX turns left to right, in place, in a picture of the given width.
func (pl *plane) mirrorX(width int) {
	for y := range pl.Height {
		left, right := y*pl.stride, y*pl.stride+(pl.Width-1)*pl.step
		for range pl.Width / 2 {
			pl.swap(left, right)
			left, right = left+pl.step, right-pl.step
		}
	}
	pl.OffX = width - pl.OffX - pl.Width*pl.SubX
}

// mirrorY turns top to bottom, in place, in a picture of the given height.
func (pl *plane) mirrorY(height int) {
	for y := range pl.Height / 2 {
		top, bottom := y*pl.stride, (pl.Height-1-y)*pl.stride
		for range pl.Width {
			pl.swap(top, bottom)
			top, bottom = top+pl.step, bottom+pl.step
		}
	}
	pl.OffY = height - pl.OffY - pl.Height*pl.SubY
}

// swap exchanges two samples. Other planes' samples in shared memory stay.
func (pl *plane) swap(i, j int) {
	pl.pix[i], pl.pix[j] = pl.pix[j], pl.pix[i]
	if pl.wide {
		pl.pix[i+1], pl.pix[j+1] = pl.pix[j+1], pl.pix[i+1]
	}
}
