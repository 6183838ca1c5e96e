package colour

// Transform is a [Chain] ready for pixels. It is safe for concurrent use.
//
// Where both sides are a matrix and three curves it is just that, fused: three
// curves, one matrix, three curves. Everything else is a [Grid] over device
// values that were first set at even steps of lightness, so that the lattice
// is as fine in deep shadows as the eye is. Destinations that are plain are
// baked unclipped and clipped after: a lattice has trouble with corners.
type Transform struct {
	In, Out int // channels
	plain   *shaper
	grid    *Grid
	even    *uniform // device values to even lightness, nil for none
}

// shaper is three curves, a matrix with an offset, three curves.
type shaper struct {
	decode [3]*uniform
	matrix [3][3]float32
	offset [3]float32
	encode [3]*octaves
}

// gridSide is the number of lattice points a side, by input channels. A test
// holds what they cost in colour: see TestBakedChainsAgreeWithLittleCMS.
var gridSide = map[int]int{1: 4097, 3: 65, 4: 21}

// Bake works the chain out for pixels.
func (c Chain) Bake() (t *Transform, err error) {
	defer contain(&err)
	l, err := c.link()
	if err != nil {
		return nil, err
	}
	t = &Transform{In: c.From.Channels, Out: c.To.Channels}
	if l.source != nil && l.dest != nil {
		t.plain = l.fuse()
		return t, nil
	}
	even, uneven := c.lightness()
	t.even = even
	t.grid, err = Bake(t.In, t.Out, gridSide[t.In], func() (func(dst, src []float64), error) {
		l, err := c.link()
		if err != nil {
			return nil, err
		}
		device := make([]float64, 4)
		return func(dst, src []float64) {
			for i, v := range src[:t.In] {
				device[i] = uneven(v)
			}
			l.unclipped(dst, device)
		}, nil
	})
	return t, err
}

// lightness is the curve from device values to the lightness of the source's
// neutral axis, and its inverse; nothing for inks, whose values are even
// enough.
func (c Chain) lightness() (even *uniform, uneven func(float64) float64) {
	curve, err := c.From.neutral()
	if c.From.Channels != 3 || err != nil {
		return nil, func(v float64) float64 { return v }
	}
	for i, y := range curve {
		curve[i] = XYZ{0, y, 0}.Lab()[0] / 100
		// Never flat: a table that stays at 0 for a while could not be inverted.
		curve[i] = 0.99*curve[i] + 0.01*float64(i)/affineSamples
	}
	return newUniform(func(v float64) float64 { return sample(curve, v) }),
		func(v float64) float64 { return inverseSample(curve, v) }
}

// fuse makes one matrix of the two sides' and the compensation between.
func (l *link) fuse() *shaper {
	s := &shaper{}
	inv := inverse(l.dest.matrix)
	var scaled [3][3]float64
	for i := range 3 {
		for j := range 3 {
			scaled[i][j] = l.black.gain[i] * l.source.matrix[i][j]
		}
	}
	m := mul(inv, scaled)
	offset := mulVec(inv, minus(l.black.of(l.source.base), l.dest.base))
	for i := range 3 {
		s.offset[i] = float32(offset[i])
		for j := range 3 {
			s.matrix[i][j] = float32(m[i][j])
		}
		in, out := l.source.curve[i], l.dest.curve[i]
		s.decode[i] = newUniform(func(v float64) float64 { return sample(in, v) })
		s.encode[i] = newOctaves(func(v float64) float64 { return inverseSample(out, v) })
	}
	return s
}

// Apply takes n pixels along the chain. src has In planes and dst Out, and they
// may share memory.
func (t *Transform) Apply(dst, src [][]float32, n int) {
	if t.plain != nil {
		t.plain.apply(dst, src, n)
		return
	}
	switch {
	case t.In == 3 && t.Out == 3:
		t.apply3(dst, src, n)
	default:
		t.applyAny(dst, src, n)
	}
}

func (s *shaper) apply(dst, src [][]float32, n int) {
	r, g, b := src[0][:n], src[1][:n], src[2][:n]
	x, y, z := dst[0][:n], dst[1][:n], dst[2][:n]
	m := s.matrix
	for i := range n {
		u, v, w := s.decode[0].at(r[i]), s.decode[1].at(g[i]), s.decode[2].at(b[i])
		x[i] = s.encode[0].at(m[0][0]*u + m[0][1]*v + m[0][2]*w + s.offset[0])
		y[i] = s.encode[1].at(m[1][0]*u + m[1][1]*v + m[1][2]*w + s.offset[1])
		z[i] = s.encode[2].at(m[2][0]*u + m[2][1]*v + m[2][2]*w + s.offset[2])
	}
}

func (t *Transform) apply3(dst, src [][]float32, n int) {
	r, g, b := src[0][:n], src[1][:n], src[2][:n]
	x, y, z := dst[0][:n], dst[1][:n], dst[2][:n]
	for i := range n {
		out := t.grid.tetrahedron(0, t.even.at(r[i]), t.even.at(g[i]), t.even.at(b[i]))
		x[i], y[i], z[i] = unit(out[0]), unit(out[1]), unit(out[2])
	}
}

func (t *Transform) applyAny(dst, src [][]float32, n int) {
	var in [4]float32
	for i := range n {
		for c := range t.In {
			in[c] = src[c][i]
			if t.even != nil {
				in[c] = t.even.at(in[c])
			}
		}
		out := t.grid.At(&in)
		for c := range t.Out {
			dst[c][i] = unit(out[c])
		}
	}
}

func unit(v float32) float32 { return min(max(v, 0), 1) }
