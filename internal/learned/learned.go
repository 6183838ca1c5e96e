// Package learned predicts the detail that a fixed kernel cannot: what an enlargement
// lacks beside the picture that it once was.
//
// A [Network] is a small convolutional network over luma, trained on photographs that
// were reduced (scripts/learn). It gives the residual, truth less the kernel's result, at
// twice or four times the source's pixels; package render adds a share of it to what its
// kernel makes. It was trained on squared error alone, so that where it cannot know it
// predicts nothing: an even place has no residual, exactly. Every weight is tied over the
// eight symmetries of a square, so that a picture that is turned or mirrored has the
// residual turned or mirrored, to the bit.
//
// Weights and samples are int16 and sums int32, so that every machine has the same bits.
// The form of network is that of C. Dong, C. C. Loy, X. Tang, "Accelerating the
// Super-Resolution Convolutional Neural Network", ECCV 2016, and W. Shi et al., "Real-Time
// Single Image and Video Super-Resolution Using an Efficient Sub-Pixel Convolutional
// Neural Network", CVPR 2016; tying as in T. Cohen, M. Welling, "Group Equivariant
// Convolutional Networks", ICML 2016.
package learned

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"sync"

	"sizewright/internal/vector"
)

// White is luma of 1 in a network's source, and Unit luma of 1 in its residual.
const (
	White = 8192
	Unit  = 32768
)

// Network predicts the residual at Scale times the pixels of its source.
type Network struct {
	Scale  int
	Halo   int    // source pixels around a place that its residual hangs on
	Digest string // SHA-256 of the weights

	layers []vector.Convolution
	even   []int16 // the last layer's samples over an even place
}

//go:embed weights/x2.weights weights/x4.weights
var files embed.FS

var networks = sync.OnceValue(func() (all []*Network) {
	for _, name := range []string{"x2", "x4"} {
		data, err := files.ReadFile("weights/" + name + ".weights")
		if err != nil {
			panic(err)
		}
		n, err := read(data)
		if err != nil {
			panic(fmt.Sprintf("learned: the weights %s: %v", name, err))
		}
		all = append(all, n)
	}
	return all
})

// For returns the network for an enlargement by that factor: the one that doubles up to
// the factor at which the other is nearer to the truth (scripts/quality.sh, of x3).
func For(enlargement float64) *Network {
	all := networks()
	if enlargement > 2.5 {
		return all[1]
	}
	return all[0]
}

// Digests returns the digests of all networks' weights.
func Digests() (all []string) {
	for _, n := range networks() {
		all = append(all, n.Digest)
	}
	return all
}

// ByDigest returns the network of those weights, nil if this program has no such.
func ByDigest(digest string) *Network {
	for _, n := range networks() {
		if n.Digest == digest {
			return n
		}
	}
	return nil
}

const (
	most  = 8191 // a sample between layers
	magic = "learned2"
)

// read reads weights in the form that scripts/learn/quantise.py writes.
func read(data []byte) (*Network, error) {
	sum := sha256.Sum256(data)
	n := &Network{Digest: hex.EncodeToString(sum[:])}
	r := bytes.NewReader(data)
	var head struct {
		Magic         [8]byte
		Scale, Layers uint8
	}
	if err := binary.Read(r, binary.LittleEndian, &head); err != nil || string(head.Magic[:]) != magic {
		return nil, fmt.Errorf("they do not begin with %q", magic)
	}
	n.Scale = int(head.Scale)
	for i := range int(head.Layers) {
		last := i+1 == int(head.Layers)
		if err := n.readLayer(r, last); err != nil {
			return nil, fmt.Errorf("layer %d: %w", i, err)
		}
	}
	n.even = make([]int16, n.layers[len(n.layers)-1].Out)
	side := 2*n.Halo + 1
	n.run(n.even, make([]int16, side*side), side, 1, 1, &scratch{})
	return n, nil
}

func (n *Network) readLayer(r *bytes.Reader, last bool) error {
	var l struct{ In, Out, Side, Shift uint8 }
	if err := binary.Read(r, binary.LittleEndian, &l); err != nil {
		return err
	}
	in, out, side := int(l.In), int(l.Out), int(l.Side)
	given := out / 8 // the others are these, turned and mirrored
	if last {
		given = out
	}
	bias, weights := make([]int32, out), make([]int16, given*in*side*side)
	for _, v := range []any{bias, weights} {
		if err := binary.Read(r, binary.LittleEndian, v); err != nil {
			return err
		}
	}
	c := vector.Convolution{In: in, Out: (out + 15) / 16 * 16, Rows: side, Columns: side, Shift: uint(l.Shift), High: most}
	if last {
		c.Low, c.High = -Unit, Unit-1
	}
	if in*side%2 != 0 {
		c.Columns++
	}
	plain := make([]int16, c.Out*c.Rows*c.Columns*c.In)
	for o := range out {
		from, g := o/8, o%8
		if last {
			from, g = o, 0
		}
		for i := range in {
			moved := i
			if in > 1 {
				moved = i/8*8 + after(g, i%8)
			}
			for y := range side {
				for x := range side {
					v, u := before(g, side, y, x)
					plain[((o*side+y)*c.Columns+x)*in+moved] = weights[((from*in+i)*side+v)*side+u]
				}
			}
		}
	}
	c.Weights, c.Bias = c.Arrange(plain), make([]int32, c.Out)
	for o, b := range bias {
		c.Bias[o] = b + 1<<l.Shift>>1
	}
	n.layers = append(n.layers, c)
	n.Halo += side / 2
	return nil
}

// before returns which place of a square the symmetry g brings to row y, column x: its
// bits say mirrored by columns, mirrored by rows, and before that transposed.
func before(g, side, y, x int) (int, int) {
	if g&2 != 0 {
		y = side - 1 - y
	}
	if g&1 != 0 {
		x = side - 1 - x
	}
	if g&4 != 0 {
		y, x = x, y
	}
	return y, x
}

// after returns the symmetry that is b and then a.
func after(a, b int) int {
	y, x := before(a, 4, 0, 1)
	y, x = before(b, 4, y, x)
	for c := range 8 {
		if v, u := before(c, 4, 0, 1); v == y && u == x {
			return c
		}
	}
	panic("learned: no symmetry of a square")
}

// scratch is the memory of a network at work.
type scratch struct{ samples [2][]int16 }

var scratches = sync.Pool{New: func() any { return &scratch{} }}

// Residual predicts the residual of w x h source pixels. src has their luma, White at
// white, with Halo more on every side: h + 2 Halo rows of w + 2 Halo, wide samples apart.
// dst takes Scale*h rows of Scale*w, stride samples apart.
func (n *Network) Residual(dst []int16, stride int, src []int16, wide, w, h int) {
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	out := n.layers[len(n.layers)-1].Out
	samples := make([]int16, w*h*out)
	n.run(samples, src, wide, w, h, s)
	for y := range n.Scale * h {
		row := dst[y*stride:][:n.Scale*w]
		for x := range row {
			k := y%n.Scale*n.Scale + x%n.Scale
			v := int32(samples[(y/n.Scale*w+x/n.Scale)*out+k]) - int32(n.even[k])
			row[x] = int16(min(max(v, -Unit), Unit-1))
		}
	}
}

// run carries out the layers; dst takes the last one's samples.
func (n *Network) run(dst, src []int16, wide, w, h int, s *scratch) {
	width, height := w+2*n.Halo, h+2*n.Halo
	in := grow(&s.samples[1], width*height+1) // the first layer reads one sample more, with no weight
	for y := range height {
		copy(in[y*width:][:width], src[y*wide:])
	}
	in[width*height] = 0
	for i := range n.layers {
		c := &n.layers[i]
		narrow, low := width-c.Rows+1, height-c.Rows+1
		out := dst
		if i+1 < len(n.layers) {
			out = grow(&s.samples[i%2], narrow*low*c.Out)
		}
		for y := range low {
			c.Line(out[y*narrow*c.Out:][:narrow*c.Out], in[y*width*c.In:], width*c.In, narrow)
		}
		in, width, height = out, narrow, low
	}
}

func grow(s *[]int16, n int) []int16 {
	if cap(*s) < n {
		*s = make([]int16, n)
	}
	return (*s)[:n]
}
