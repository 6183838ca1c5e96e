package vector

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// convolutions are the shapes of a network's layers: its first, its middle and its last.
var convolutions = []Convolution{
	{In: 1, Out: 48, Rows: 5, Columns: 6, Shift: 13, High: 16383},
	{In: 48, Out: 48, Rows: 3, Columns: 3, Shift: 11, High: 16383},
	{In: 48, Out: 16, Rows: 3, Columns: 3, Shift: 12, Low: -32768, High: 32767},
	{In: 2, Out: 16, Rows: 1, Columns: 1, Low: -5, High: 300},
}

func samples16(n int, r *rand.Rand, most int) []int16 {
	all := make([]int16, n)
	for i := range all {
		all[i] = int16(r.IntN(2*most+1) - most)
	}
	return all
}

func TestAConvolutionIsItsSumOnEveryMachine(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, c := range convolutions {
		plain := samples16(c.Out*c.Rows*c.Columns*c.In, r, 500)
		c.Weights = c.Arrange(plain)
		c.Bias = make([]int32, c.Out)
		for o := range c.Bias {
			c.Bias[o] = int32(r.IntN(1 << 20))
		}
		for _, n := range []int{1, 2, 11, 12, 13, 23, 24, 25, 50} {
			stride := (n + c.Columns) * c.In
			src := samples16((c.Rows-1)*stride+(n-1)*c.In+c.Columns*c.In, r, 16383)
			got := make([]int16, n*c.Out+1)
			got[n*c.Out] = 77
			c.Line(got, src, stride, n)
			if got[n*c.Out] != 77 {
				t.Fatalf("%v: writes beyond %d pixels", c.In, n)
			}
			for x := range n {
				for o := range c.Out {
					sum := int64(c.Bias[o])
					for row := range c.Rows {
						for i := range c.Columns * c.In {
							sum += int64(plain[(o*c.Rows+row)*c.Columns*c.In+i]) * int64(src[row*stride+x*c.In+i])
						}
					}
					want := min(max(sum>>c.Shift, int64(c.Low)), int64(c.High))
					if int64(got[x*c.Out+o]) != want {
						t.Fatalf("%d of %d samples, %d pixels: pixel %d sample %d is %d, not %d", c.In, c.Out, n, x, o, got[x*c.Out+o], want)
					}
				}
			}
			again := make([]int16, n*c.Out)
			c.linePlain(again, src, stride, 0, n)
			for i := range again {
				if again[i] != got[i] {
					t.Fatalf("the assembly and the plain loop differ at %d", i)
				}
			}
		}
	}
}

func BenchmarkConvolution(b *testing.B) {
	for _, c := range convolutions[:3] {
		b.Run(fmt.Sprintf("%dto%d", c.In, c.Out), func(b *testing.B) {
			const n = 240
			r := rand.New(rand.NewPCG(1, 2))
			c.Weights, c.Bias = c.Arrange(samples16(c.Out*c.Rows*c.Columns*c.In, r, 500)), make([]int32, c.Out)
			stride := (n + c.Columns) * c.In
			src, dst := samples16(c.Rows*stride, r, 16383), make([]int16, n*c.Out)
			for b.Loop() {
				c.Line(dst, src, stride, n)
			}
			b.ReportMetric(float64(len(c.Weights))*n*float64(b.N)/b.Elapsed().Seconds()/1e9, "Gmac/s")
		})
	}
}
