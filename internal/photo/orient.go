package photo

// standUpright rearranges the planes so that row 0 is the top of the picture
// as it is meant to be seen. Every EXIF orientation is a transposition (5 to 8)
// followed by mirroring from side to side (2, 3, 6, 7), from top to bottom
// (3, 4, 7, 8), or both. It is done once, here, so that no later code need
// know of orientation.
func (p *Photo) standUpright() {
	if p.turned() {
		transposeAll(p.planes)
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

// transposeAll swaps rows and columns of every plane with one spare buffer that
// is handed from plane to plane: each is written where the one before it lay,
// so the picture never needs memory twice.
func transposeAll(planes []plane) {
	var spare []byte
	for c := range planes {
		pl := &planes[c]
		need := pl.w * pl.h * sampleBytes(pl.wide)
		if cap(spare) < need {
			spare = make([]byte, need)
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
	// Squares small enough that their rows and columns stay in the cache.
	const block = 64
	size := sampleBytes(pl.wide)
	t := plane{pix: pix, stride: pl.h * size, step: size, w: pl.h, h: pl.w, wide: pl.wide,
		subX: pl.subY, subY: pl.subX, offX: pl.offY, offY: pl.offX}
	for y0 := 0; y0 < pl.h; y0 += block {
		y1 := min(y0+block, pl.h)
		for x0 := 0; x0 < pl.w; x0 += block {
			x1 := min(x0+block, pl.w)
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
	}
	return t
}

// mirrorX turns left to right, in place, in a picture of the given width.
func (pl *plane) mirrorX(width int) {
	for y := range pl.h {
		pl.reverse(y*pl.stride, y*pl.stride+(pl.w-1)*pl.step, pl.step, pl.w/2)
	}
	pl.offX = width - pl.offX - pl.w*pl.subX
}

// mirrorY turns top to bottom, in place, in a picture of the given height.
func (pl *plane) mirrorY(height int) {
	for y := range pl.h / 2 {
		top, bottom := y*pl.stride, (pl.h-1-y)*pl.stride
		for range pl.w {
			pl.swap(top, bottom)
			top, bottom = top+pl.step, bottom+pl.step
		}
	}
	pl.offY = height - pl.offY - pl.h*pl.subY
}

// reverse swaps n samples from i upwards with those from j downwards.
func (pl *plane) reverse(i, j, step, n int) {
	for range n {
		pl.swap(i, j)
		i, j = i+step, j-step
	}
}

// swap exchanges two samples; other planes' samples in shared memory stay.
func (pl *plane) swap(i, j int) {
	pl.pix[i], pl.pix[j] = pl.pix[j], pl.pix[i]
	if pl.wide {
		pl.pix[i+1], pl.pix[j+1] = pl.pix[j+1], pl.pix[i+1]
	}
}
