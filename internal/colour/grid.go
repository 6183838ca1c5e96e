package colour

// grid is a function of one, three or four values in 0..1 with up to four results,
// sampled on a regular lattice. Interpolation is linear over one value, tetrahedral
// over three (the method of US patent 4,275,413, Sakamoto and Itooka, long expired),
// and a blend of two tetrahedra over four.
type grid struct {
	In, Out int
	N       int          // samples per side
	node    [][4]float32 // the first input varies slowest
}

// bake samples a function of len(at) inputs: at has each input's value at the lattice's
// points. newF creates one instance of the function per goroutine; it reads the inputs
// from src and writes out values to dst.
func bake(at [][]float64, out int, newF func() (func(dst, src []float64), error)) (*grid, error) {
	total, n := 1, len(at[0])
	for range at {
		total *= n
	}
	g := &grid{In: len(at), Out: out, N: n, node: make([][4]float32, total)}
	return g, parallel(total, func(from, to int) error {
		f, err := newF()
		if err == nil {
			g.fill(from, to, at, f)
		}
		return err
	})
}

// evenly returns n values from 0 to 1.
func evenly(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = float64(i) / float64(n-1)
	}
	return v
}

func (g *grid) fill(from, to int, at [][]float64, f func(dst, src []float64)) {
	src, dst := make([]float64, 16), make([]float64, 16)
	for i := from; i < to; i++ {
		for c, rest := g.In-1, i; c >= 0; c, rest = c-1, rest/g.N {
			src[c] = at[c][rest%g.N]
		}
		f(dst, src)
		for c := range g.Out {
			g.node[i][c] = float32(dst[c])
		}
	}
}

// At interpolates at one point.
func (g *grid) At(in *[4]float32) (out [4]float32) {
	switch g.In {
	case 1:
		i, f := g.cell(in[0])
		return mix(&g.node[i], &g.node[i+1], f)
	case 3:
		return g.tetrahedron(0, in[0], in[1], in[2])
	}
	i, f := g.cell(in[0])
	side := g.N * g.N * g.N
	lo := g.tetrahedron(i*side, in[1], in[2], in[3])
	hi := g.tetrahedron((i+1)*side, in[1], in[2], in[3])
	return mix(&lo, &hi, f)
}

func mix(a, b *[4]float32, f float32) (out [4]float32) {
	for c := range out {
		out[c] = a[c] + float32(f*(b[c]-a[c]))
	}
	return out
}

// cell returns the lattice interval that contains x, and the position in it, 0..1.
func (g *grid) cell(x float32) (int, float32) {
	x = float32(min(max(x, 0), 1) * float32(g.N-1))
	i := min(int(x), g.N-2)
	return i, x - float32(i)
}

// tetrahedron walks from the cell's low corner to its high corner along the axes, in
// descending order of the fractions.
func (g *grid) tetrahedron(base int, x, y, z float32) [4]float32 {
	ix, fa := g.cell(x)
	iy, fb := g.cell(y)
	iz, fc := g.cell(z)
	sa, sb, sc := g.N*g.N, g.N, 1
	at := base + ix*sa + iy*sb + iz
	if fa < fb {
		fa, fb, sa, sb = fb, fa, sb, sa
	}
	if fb < fc {
		fb, fc, sb, sc = fc, fb, sc, sb
	}
	if fa < fb {
		fa, fb, sa, sb = fb, fa, sb, sa
	}
	p0, p1, p2, p3 := &g.node[at], &g.node[at+sa], &g.node[at+sa+sb], &g.node[at+sa+sb+sc]
	w0, w1, w2, w3 := 1-fa, fa-fb, fb-fc, fc
	return [4]float32{
		float32(w0*p0[0]) + float32(w1*p1[0]) + float32(w2*p2[0]) + float32(w3*p3[0]),
		float32(w0*p0[1]) + float32(w1*p1[1]) + float32(w2*p2[1]) + float32(w3*p3[1]),
		float32(w0*p0[2]) + float32(w1*p1[2]) + float32(w2*p2[2]) + float32(w3*p3[2]),
		float32(w0*p0[3]) + float32(w1*p1[3]) + float32(w2*p2[3]) + float32(w3*p3[3]),
	}
}
