package colour

// Grid is a function from device values to device values, sampled on a regular
// grid and interpolated: tetrahedrally over three channels (Sakamoto's method,
// US patent 4,275,413, long expired), linearly over one, and as a blend of two
// tetrahedra over four.
type Grid struct {
	In, Out int // channels: In is 1, 3 or 4
	N       int // samples a side
	node    []float32
}

// Bake samples f at n points a side; f reads in channels from its second
// argument and writes out channels to its first.
func Bake(in, out, n int, f func(dst, src []float64)) *Grid {
	total := 1
	for range in {
		total *= n
	}
	g := &Grid{In: in, Out: out, N: n, node: make([]float32, total*out)}
	src, dst := make([]float64, 16), make([]float64, 16)
	for i := range total {
		for c, rest := in-1, i; c >= 0; c, rest = c-1, rest/n {
			src[c] = float64(rest%n) / float64(n-1)
		}
		f(dst, src)
		for c := range out {
			g.node[i*out+c] = float32(dst[c])
		}
	}
	return g
}

// Apply runs count pixels through the grid. src has In planes and dst has Out;
// the planes may be the same where both have them.
func (g *Grid) Apply(dst, src [][]float32, count int) {
	var in [4]float32
	var out [4]float32
	for i := range count {
		for c := range g.In {
			in[c] = src[c][i]
		}
		g.at(&out, &in)
		for c := range g.Out {
			dst[c][i] = out[c]
		}
	}
}

func (g *Grid) at(out, in *[4]float32) {
	switch g.In {
	case 1:
		i, f := g.cell(in[0])
		for c := range g.Out {
			a, b := g.node[i*g.Out+c], g.node[(i+1)*g.Out+c]
			out[c] = a + f*(b-a)
		}
	case 3:
		g.tetrahedron(out, 0, in[0], in[1], in[2])
	case 4:
		i, f := g.cell(in[0])
		side := g.N * g.N * g.N * g.Out
		var hi [4]float32
		g.tetrahedron(out, i*side, in[1], in[2], in[3])
		g.tetrahedron(&hi, (i+1)*side, in[1], in[2], in[3])
		for c := range g.Out {
			out[c] += f * (hi[c] - out[c])
		}
	}
}

// cell is the grid interval that holds x, and how far into it.
func (g *Grid) cell(x float32) (int, float32) {
	x = min(max(x, 0), 1) * float32(g.N-1)
	i := min(int(x), g.N-2)
	return i, x - float32(i)
}

// tetrahedron walks from the cell's low corner to its high one along the axes
// in falling order of the fractions.
func (g *Grid) tetrahedron(out *[4]float32, base int, x, y, z float32) {
	ix, fx := g.cell(x)
	iy, fy := g.cell(y)
	iz, fz := g.cell(z)
	sx, sy, sz := g.N*g.N*g.Out, g.N*g.Out, g.Out
	f := [3]float32{fx, fy, fz}
	s := [3]int{sx, sy, sz}
	if f[0] < f[1] {
		f[0], f[1], s[0], s[1] = f[1], f[0], s[1], s[0]
	}
	if f[1] < f[2] {
		f[1], f[2], s[1], s[2] = f[2], f[1], s[2], s[1]
	}
	if f[0] < f[1] {
		f[0], f[1], s[0], s[1] = f[1], f[0], s[1], s[0]
	}
	p0 := base + ix*sx + iy*sy + iz*sz
	p1 := p0 + s[0]
	p2 := p1 + s[1]
	p3 := p2 + s[2]
	for c := range g.Out {
		out[c] = (1-f[0])*g.node[p0+c] + (f[0]-f[1])*g.node[p1+c] + (f[1]-f[2])*g.node[p2+c] + f[2]*g.node[p3+c]
	}
}
