package colour

// Transform is a [Chain] prepared for pixels. It is safe for concurrent use.
//
// If both sides are affine (a matrix and three curves), it is three curves, one matrix
// and three curves. Everything else is a [grid] over device values that are first
// mapped to equal steps of lightness, so that the lattice is as fine in deep shadows as
// the eye is. For an affine destination the grid holds the lightness of the linear
// light, unclipped; the destination's curves and the clipping follow. A lattice cannot
// represent corners, nor the infinite slope of a pure gamma at black.
type Transform struct {
	In, Out int // channels
	affine  *shaper
	grid    *grid
	even    [4]*uniform // device values to equal steps of the lattice, or nil
	encode  [3]*octaves // the grid's lightness to device values, or nil
}

// shaper is three curves, a matrix with an offset, and three curves.
type shaper struct {
	decode [3]*uniform
	matrix [3][3]float32
	offset [3]float32
	encode [3]*octaves
}

// gridSide is the number of lattice points per side, by input channels.
// TestBakedChainsAgreeWithLittleCMS checks the resulting error.
var gridSide = map[int]int{1: 4097, 3: 67, 4: 37}

// Bake prepares the chain for pixels, or returns the cached result: a night's pictures
// share a few chains, and the larger ones take half a second.
func (c Chain) Bake() (*Transform, error) { return recent.get(c.key(), c.bake) }

func (c Chain) bake() (t *Transform, err error) {
	defer recoverError(&err)
	l, err := c.link()
	if err != nil {
		return nil, err
	}
	t = &Transform{In: c.From.Channels, Out: c.To.Channels}
	if l.source != nil && l.dest != nil {
		t.affine = l.fuse()
		return t, nil
	}
	var uneven [4]func(float64) float64
	t.even, uneven = c.steps()
	if l.dest != nil {
		t.encode = l.dest.fromLightness()
	}
	at := make([][]float64, t.In)
	for i := range at {
		at[i] = evenly(gridSide[t.In])
		for k, v := range at[i] {
			at[i][k] = uneven[i](v)
		}
	}
	t.grid, err = bake(at, t.Out, func() (func(dst, src []float64), error) {
		l, err := c.clone(l)
		if err != nil {
			return nil, err
		}
		return l.even, nil
	})
	return t, err
}

// steps returns the curves from device values to the lattice's equal steps, and their
// inverses. For RGB they are the lightness of the source's neutral axis. Inks are
// unchanged except black, whose darkest tenth matters most: there the lattice is twice
// as fine.
func (c Chain) steps() (even [4]*uniform, uneven [4]func(float64) float64) {
	for i := range uneven {
		uneven[i] = func(v float64) float64 { return v }
	}
	var curve []float64
	switch c.From.Channels {
	case 3:
		var err error
		if curve, err = c.From.neutral(); err != nil {
			return even, uneven
		}
		for i, y := range curve {
			// Never flat: a curve that is 0 over an interval has no inverse.
			curve[i] = float64(0.99*lightness(y)) + float64(0.01*float64(i)/affineSamples)
		}
	case 4:
		curve = make([]float64, affineSamples+1)
		for i := range curve {
			k := float64(float64(i) / affineSamples)
			curve[i] = (k + float64(k*k*k)) / 2
		}
	}
	for i := range even {
		if c.From.Channels == 3 && i < 3 || c.From.Channels == 4 && i == 3 {
			even[i] = newUniform(func(v float64) float64 { return sample(curve, v) })
			uneven[i] = func(v float64) float64 { return inverseSample(curve, v) }
		}
	}
	return even, uneven
}

// fuse combines the matrices of both sides and the compensation into one.
func (l *link) fuse() *shaper {
	s := &shaper{}
	inv := l.dest.inverse
	var scaled [3][3]float64
	for i := range 3 {
		for j := range 3 {
			scaled[i][j] = l.black.gain[i] * l.source.matrix[i][j]
		}
	}
	m := mul(inv, scaled)
	offset := l.dest.linear(l.black.of(l.source.base))
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

// Apply converts n pixels. src has In planes of values in 0..1 and dst has Out planes;
// they may share memory.
func (t *Transform) Apply(dst, src [][]float32, n int) {
	if t.affine != nil {
		t.affine.apply(dst, src, n)
		return
	}
	if t.In == 3 && t.encode[0] == nil && t.Out >= 3 {
		t.applyRGB(dst, src, n)
		return
	}
	t.applyAny(dst, src, n)
}

func (s *shaper) apply(dst, src [][]float32, n int) {
	r, g, b := src[0][:n], src[1][:n], src[2][:n]
	x, y, z := dst[0][:n], dst[1][:n], dst[2][:n]
	m := s.matrix
	for i := range n {
		u, v, w := s.decode[0].at(r[i]), s.decode[1].at(g[i]), s.decode[2].at(b[i])
		x[i] = s.encode[0].at(float32(m[0][0]*u) + float32(m[0][1]*v) + float32(m[0][2]*w) + s.offset[0])
		y[i] = s.encode[1].at(float32(m[1][0]*u) + float32(m[1][1]*v) + float32(m[1][2]*w) + s.offset[1])
		z[i] = s.encode[2].at(float32(m[2][0]*u) + float32(m[2][1]*v) + float32(m[2][2]*w) + s.offset[2])
	}
}

func (t *Transform) applyAny(dst, src [][]float32, n int) {
	var in [4]float32
	for i := range n {
		for c := range t.In {
			in[c] = src[c][i]
			if t.even[c] != nil {
				in[c] = t.even[c].at(in[c])
			}
		}
		out := t.grid.At(&in)
		for c := range t.Out {
			if t.encode[0] != nil {
				out[c] = t.encode[c].at(out[c])
			}
			dst[c][i] = unit(out[c])
		}
	}
}

func unit(v float32) float32 { return min(max(v, 0), 1) }
