package learned

import (
	"math"
	"math/rand/v2"
	"testing"
)

const side = 40

// residual returns a network's residual of a square of luma, whose ends are repeated.
func residual(n *Network, luma func(x, y int) int16) [][]int16 {
	wide := side + 2*n.Halo
	src := make([]int16, wide*wide)
	for y := range wide {
		for x := range wide {
			src[y*wide+x] = luma(min(max(x-n.Halo, 0), side-1), min(max(y-n.Halo, 0), side-1))
		}
	}
	all := make([]int16, n.Scale*side*n.Scale*side)
	n.Residual(all, n.Scale*side, src, wide, side, side)
	rows := make([][]int16, n.Scale*side)
	for y := range rows {
		rows[y] = all[y*n.Scale*side:][:n.Scale*side]
	}
	return rows
}

func TestAnEvenPlaceHasNoResidual(t *testing.T) {
	for _, n := range networks() {
		for _, grey := range []int16{0, 1, 777, White / 2, White} {
			for y, row := range residual(n, func(x, y int) int16 { return grey }) {
				for x, v := range row {
					if v != 0 {
						t.Fatalf("x%d: a grey of %d has a residual of %d at %d, %d", n.Scale, grey, v, x, y)
					}
				}
			}
		}
	}
}

func TestAPictureThatIsTurnedHasTheResidualTurned(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var luma [side][side]int16
	for y := range luma {
		for x := range luma[y] {
			luma[y][x] = int16(r.IntN(White + 1))
		}
	}
	for _, n := range networks() {
		all := n.Scale*side - 1
		upright := residual(n, func(x, y int) int16 { return luma[y][x] })
		for name, turned := range map[string]struct {
			luma func(x, y int) int16
			at   func(x, y int) (int, int)
		}{
			"mirrored": {func(x, y int) int16 { return luma[y][side-1-x] }, func(x, y int) (int, int) { return all - x, y }},
			"turned":   {func(x, y int) int16 { return luma[side-1-x][y] }, func(x, y int) (int, int) { return y, all - x }},
		} {
			for y, row := range residual(n, turned.luma) {
				for x, v := range row {
					if i, j := turned.at(x, y); v != upright[j][i] {
						t.Fatalf("x%d %s: %d at %d, %d and not %d", n.Scale, name, v, x, y, upright[j][i])
					}
				}
			}
		}
	}
}

func TestATileHasTheResidualOfTheWhole(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	luma := make([]int16, 90*90)
	for i := range luma {
		luma[i] = int16(r.IntN(White + 1))
	}
	for _, n := range networks() {
		w := 90 - 2*n.Halo
		whole := make([]int16, n.Scale*w*n.Scale*w)
		n.Residual(whole, n.Scale*w, luma, 90, w, w)
		const x, y, tile = 7, 11, 13
		wide := tile + 2*n.Halo
		part := make([]int16, wide*wide)
		for j := range wide {
			copy(part[j*wide:][:wide], luma[(y+j)*90+x:])
		}
		got := make([]int16, n.Scale*tile*n.Scale*tile)
		n.Residual(got, n.Scale*tile, part, wide, tile, tile)
		for i, v := range got {
			at := (n.Scale*y+i/(n.Scale*tile))*n.Scale*w + n.Scale*x + i%(n.Scale*tile)
			if v != whole[at] {
				t.Fatalf("x%d: the tile's %d is %d, not %d", n.Scale, i, v, whole[at])
			}
		}
	}
}

func TestNoSumOverflows(t *testing.T) {
	for _, n := range networks() {
		for l, c := range n.layers {
			top := int64(most)
			if l == 0 {
				top = White
			}
			above, below := make([]int64, c.Out), make([]int64, c.Out)
			each := len(c.Weights) / c.Out * 16
			for i, w := range c.Weights {
				o := i/each*16 + i%32/2
				above[o] += max(int64(w), 0) * top
				below[o] -= min(int64(w), 0) * top
			}
			for o, b := range c.Bias {
				if above[o]+max(int64(b), 0) > math.MaxInt32 || below[o]-min(int64(b), 0) > math.MaxInt32 {
					t.Errorf("x%d: sums of layer %d, channel %d may reach %d", n.Scale, l, o, max(above[o], below[o]))
				}
			}
		}
	}
}

func BenchmarkResidual(b *testing.B) {
	for _, n := range networks() {
		b.Run(map[int]string{2: "x2", 4: "x4"}[n.Scale], func(b *testing.B) {
			const w, h = 192, 96
			src := make([]int16, (w+2*n.Halo)*(h+2*n.Halo))
			for i := range src {
				src[i] = int16(i * 37 % White)
			}
			dst := make([]int16, n.Scale*w*n.Scale*h)
			for b.Loop() {
				n.Residual(dst, n.Scale*w, src, w+2*n.Halo, w, h)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(w*h), "ns/px")
		})
	}
}
