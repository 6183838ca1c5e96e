package detail

import (
	"runtime"
	"sync"
	"sync/atomic"

	"sizewright/internal/photo"
)

// survey is the power of every tile of a picture's lattice, row by row.
type survey struct {
	columns, rows int
	rings         *ringMap
	tiles         []power
}

// leastSide is the side, in pixels, of a tile that tells anything.
const leastSide = 32

// squareSide is the largest power of two, to tileSide, that fits into length;
// 0 if that is less than leastSide.
func squareSide(length int) int {
	for n := tileSide; n >= leastSide; n /= 2 {
		if n <= length {
			return n
		}
	}
	return 0
}

// surveyOf reads the lattice's tiles, each of n x n pixels.
func surveyOf(src *photo.Photo, n int) survey {
	across, down := lattice(src.Width, src.Height)
	across.side, down.side = n, n
	s := survey{columns: across.n, rows: down.n, tiles: make([]power, across.n*down.n), rings: newRingMap(n, 1)}
	inParallel(down.n, func() func(int) {
		read, transform := newLumaReader(src), newTransformer(n, 1)
		strip := make([]float32, n*src.Width)
		return func(j int) {
			for y := range n {
				read.read(down.at(j)+y, strip[y*src.Width:][:src.Width])
			}
			for i := range across.n {
				s.tiles[j*across.n+i] = transform.of(strip[across.at(i):], src.Width)
			}
		}
	})
	return s
}

// inParallel does jobs 0 to n-1, each once. Every worker makes its own doer, for
// scratch. What a job writes must be its own, so that nothing depends on the
// number of workers.
func inParallel(n int, worker func() func(job int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			do := worker()
			for job := int(next.Add(1)) - 1; job < n; job = int(next.Add(1)) - 1 {
				do(job)
			}
		})
	}
	wg.Wait()
}
