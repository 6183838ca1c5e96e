package detail

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// survey is the power of every tile of a picture's lattice, row by row.
type survey struct {
	columns, rows int
	across, down  span
	rings         *ringMap
	tiles         []power
	lagged        []lagged     // of each tile; nil where not asked for
	doubled       []doubled    // the same
	blocks        []blockPower // of each tile; nil where the picture is no JPEG's
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

// surveyOf reads the lattice's tiles, each of n x n pixels, and their lagged
// products where asked.
func surveyOf(p page, n int, withLagged bool) survey {
	across, down := lattice(p.w, p.h)
	across.side, down.side = n, n
	s := survey{columns: across.n, rows: down.n, across: across, down: down, tiles: make([]power, across.n*down.n), rings: newRingMap(n, 1)}
	if withLagged {
		s.lagged, s.doubled = make([]lagged, len(s.tiles)), make([]doubled, len(s.tiles))
	}
	if p.blocks != nil {
		s.blocks = make([]blockPower, len(s.tiles))
	}
	inParallel(down.n, func() func(int) {
		read, transform, lag := p.reader(), newTransformer(n, 1), newLagger(n)
		if r, is := read.(*reducedReader); is {
			r.only(across.columns())
		}
		strip := make([]float32, n*p.w)
		return func(j int) {
			for y := range n {
				read.read(down.at(j)+y, strip[y*p.w:][:p.w])
			}
			tiles := s.tiles[j*across.n:][:across.n]
			for i := 0; i+1 < across.n; i += 2 {
				tiles[i], tiles[i+1] = transform.ofTwo(strip[across.at(i):], strip[across.at(i+1):], p.w)
			}
			if last := across.n - 1; last%2 == 0 {
				tiles[last] = transform.of(strip[across.at(last):], p.w)
			}
			for i := range across.n {
				tile := strip[across.at(i):]
				if withLagged {
					s.lagged[j*across.n+i] = lag.of(tile, p.w)
					s.doubled[j*across.n+i] = doubledOf(tile, p.w, n)
				}
				if s.blocks != nil {
					s.blocks[j*across.n+i] = p.blocks.of(tile, p.w, n, across.at(i), down.at(j))
				}
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
