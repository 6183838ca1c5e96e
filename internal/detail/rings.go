package detail

import (
	"math"

	"sizewright/internal/exact"
)

// sectors is how many directions of waves are told apart: along the rows, along
// the columns and the two diagonals, each 45 degrees wide.
const sectors = 4

// ringMap sorts the coefficients of the Fourier transform of a square of n x n
// pixels, by frequency into rings one cycle per square wide, and by direction
// into sectors; and again by frequency into bands. Of coefficients k and -k,
// which are alike, one is mapped.
type ringMap struct {
	n     int
	at    []int16            // ring*sectors + sector of coefficient y*n + x, y to n/2; -1 for none
	band  []int8             // its band; -1 for none
	count []float64          // of coefficients in a ring's part, by ring*sectors + sector
	share [][bandCount]int32 // of coefficients of a ring in each band
}

// newRingMap takes bands as those of a picture of which the square's pixels are
// each reduction pixels wide.
func newRingMap(n, reduction int) *ringMap {
	half := n / 2
	m := &ringMap{
		n: n, at: make([]int16, n*(half+1)), band: make([]int8, n*(half+1)),
		count: make([]float64, (half+1)*sectors), share: make([][bandCount]int32, half+1),
	}
	for i := range m.at {
		kx, ky := (i%n+half)%n-half, i/n
		k := exact.Hypot(float64(kx), float64(ky))
		ring := int(math.Round(k))
		m.at[i], m.band[i] = -1, -1
		if ring == 0 || k > float64(half) || ky == half || kx == -half || (ky == 0 && kx < 0) {
			continue
		}
		angle := exact.Atan2(float64(ky), float64(kx)) / math.Pi * sectors
		m.at[i] = int16(ring*sectors + int(math.Round(angle))%sectors)
		m.count[m.at[i]]++
		if b := bandOf(k / float64(n*reduction)); b >= 0 {
			m.band[i] = int8(b)
			m.share[ring][b]++
		}
	}
	return m
}

// rings is the number of rings, the empty one at no frequency with them.
func (m *ringMap) rings() int { return m.n/2 + 1 }
