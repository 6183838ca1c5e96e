package vector

import (
	"math/rand/v2"
	"testing"
	"unsafe"
)

// memory gives a trial its rows, and knows how they are watched.
type memory interface {
	// take is n bytes at an address that items of size bytes may have.
	take(n, size int) []byte
	// check fails if anything beside the rows has been written.
	check(t testing.TB)
}

func floats(m memory, n int) []float32 { return items[float32](m, n) }

func items[T float32 | uint16 | byte](m memory, n int) []T {
	size := int(unsafe.Sizeof(*new(T)))
	if n == 0 {
		return nil
	}
	return unsafe.Slice((*T)(unsafe.Pointer(&m.take(n*size, size)[0])), n)
}

// guarded rows begin anywhere and have guards on both sides.
type guarded struct {
	r     *rand.Rand
	whole [][]byte
	inner [][2]int
}

const (
	guard     = 0xa5
	guardSize = 64
)

func (g *guarded) take(n, size int) []byte {
	from := guardSize + g.r.IntN(8)*size
	whole := make([]byte, from+n+guardSize)
	for i := range whole {
		whole[i] = guard
	}
	g.whole, g.inner = append(g.whole, whole), append(g.inner, [2]int{from, from + n})
	return whole[from : from+n : from+n]
}

func (g *guarded) check(t testing.TB) {
	t.Helper()
	for i, whole := range g.whole {
		from, to := g.inner[i][0], g.inner[i][1]
		for j, v := range whole {
			if (j < from || j >= to) && v != guard {
				t.Fatalf("row %d, of bytes %d to %d, was left at byte %d", i, from, to, j)
			}
		}
	}
}

// heap is plain memory, for benchmarks.
type heap struct{}

func (heap) take(n, _ int) []byte { return make([]byte, n) }
func (heap) check(testing.TB)     {}
