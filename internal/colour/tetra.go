package colour

import "math"

// applyRGB is applyAny for RGB to three or four channels, which nearly every print
// uses. It is one loop without branches that depend on the pixels, since noise would
// make them unpredictable.
func (t *Transform) applyRGB(dst, src [][]float32, n int) {
	r, g, b := src[0][:n], src[1][:n], src[2][:n]
	c0, c1, c2 := dst[0][:n], dst[1][:n], dst[2][:n]
	c3 := c2 // three channels: overwritten below
	if t.Out == 4 {
		c3 = dst[3][:n]
	}
	e0, e1, e2 := t.even[0], t.even[1], t.even[2]
	uneven := e0 != nil
	node, side := t.grid.node, int32(t.grid.N)
	scale := float32(side - 1)
	walks := walksOf(side*side, side, 1)
	for i := range n {
		x, y, z := r[i], g[i], b[i]
		if uneven {
			x, y, z = e0.at(x), e1.at(y), e2.at(z)
		}
		x, y, z = float32(x*scale), float32(y*scale), float32(z*scale)
		ix, iy, iz := min(int32(x), side-2), min(int32(y), side-2), min(int32(z), side-2)
		x, y, z = x-float32(ix), y-float32(iy), z-float32(iz)
		at := (ix*side+iy)*side + iz

		// Fractions are not negative, so their bits have the same order.
		u, v, w := math.Float32bits(x), math.Float32bits(y), math.Float32bits(z)
		hi, lo := max(u, v, w), min(u, v, w)
		mid := u + v + w - hi - lo
		fa, fb, fc := math.Float32frombits(hi), math.Float32frombits(mid), math.Float32frombits(lo)
		walk := &walks[bit(u >= v)|bit(v >= w)<<1|bit(u >= w)<<2]

		p0, p1, p2, p3 := &node[at], &node[at+walk[0]], &node[at+walk[1]], &node[at+walk[2]]
		w0, w1, w2, w3 := 1-fa, fa-fb, fb-fc, fc
		c3[i] = float32(w0*p0[3]) + float32(w1*p1[3]) + float32(w2*p2[3]) + float32(w3*p3[3])
		c0[i] = float32(w0*p0[0]) + float32(w1*p1[0]) + float32(w2*p2[0]) + float32(w3*p3[0])
		c1[i] = float32(w0*p0[1]) + float32(w1*p1[1]) + float32(w2*p2[1]) + float32(w3*p3[1])
		c2[i] = float32(w0*p0[2]) + float32(w1*p1[2]) + float32(w2*p2[2]) + float32(w3*p3[2])
	}
}

// walksOf returns the offsets of the corners on the path along the axes in descending
// order of the fractions. The index is the sum of 1 if x >= y, 2 if y >= z and 4 if x
// >= z.
func walksOf(x, y, z int32) (walks [8][3]int32) {
	all := x + y + z
	for k := range walks {
		xy, yz, xz := k&1 != 0, k&2 != 0, k&4 != 0
		largest, least := z, x
		switch {
		case xy && xz:
			largest = x
		case !xy && yz:
			largest = y
		}
		switch {
		case yz && xz:
			least = z
		case xy && !yz:
			least = y
		}
		walks[k] = [3]int32{largest, all - least, all}
	}
	return walks
}

func bit(b bool) (n uint32) {
	if b {
		n = 1
	}
	return n
}
