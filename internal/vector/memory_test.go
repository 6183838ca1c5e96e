package vector

import (
	"math/rand/v2"
	"testing"
	"unsafe"
)

// memory allocates the rows of a trial and detects writes outside them.
type memory interface {
	// take allocates n bytes, aligned for items of size bytes.
	take(n, size int) []byte
	// check fails the test if anything outside the rows was written.
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

// guarded allocates rows at any alignment with guard bytes on both sides.
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
				t.Fatalf("row %d, bytes %d to %d, was overrun at byte %d", i, from, to, j)
			}
		}
	}
}

// heap allocates plain memory, for benchmarks.
type heap struct{}

func (heap) take(n, _ int) []byte { return make([]byte, n) }
func (heap) check(testing.TB)     {}
