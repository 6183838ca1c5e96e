package photo

import (
	"path/filepath"
	"sync"
	"testing"
)

// Bands are rendered by several workers from one picture: rows must come out
// the same for all of them, and cost no memory.
func TestRowIsSharedSafely(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "v.jpg")
	run(t, "convert", marshFile(t, dir, 64, 48), "-depth", "8", "-sampling-factor", "2x2", path)
	p := open(t, path)
	want := pixels(p)
	var workers sync.WaitGroup
	for range 4 {
		workers.Go(func() {
			if d, _ := difference(t, pixels(p), want); d != 0 {
				t.Errorf("differs by %g", d)
			}
		})
	}
	workers.Wait()
	row := newRow(p)
	if n := testing.AllocsPerRun(10, func() { p.Row(7, row) }); n != 0 {
		t.Errorf("%g allocations a row", n)
	}
}

// Whole numbers become fractions of the largest, correctly rounded: 0 and 1 are
// exact, and no value passes 1.
func TestSamplesBecomeFractions(t *testing.T) {
	for _, wide := range []bool{false, true} {
		pl := newPlane(1, 1, wide)
		dst := make([]float32, 1)
		for v := uint32(0); v <= pl.white(); v++ {
			pl.set(0, v)
			pl.row(0, dst)
			if want := float32(float64(v) / float64(pl.white())); dst[0] != want {
				t.Fatalf("%d of %d: %g, want %g", v, pl.white(), dst[0], want)
			}
		}
	}
}
