//go:build unix

package vector

import (
	"math/rand/v2"
	"runtime/debug"
	"syscall"
	"testing"
)

// fenced allocates rows next to a page without access: before its start or after its end.
type fenced struct {
	t      testing.TB
	before bool
	maps   [][]byte
}

func (f *fenced) take(n, _ int) []byte {
	page := syscall.Getpagesize()
	inner := (n + page - 1) / page * page
	m, err := syscall.Mmap(-1, 0, inner+2*page, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err != nil {
		f.t.Fatal(err)
	}
	f.maps = append(f.maps, m)
	for _, fence := range [][]byte{m[:page], m[page+inner:]} {
		if err := syscall.Mprotect(fence, syscall.PROT_NONE); err != nil {
			f.t.Fatal(err)
		}
	}
	if f.before {
		return m[page:][:n:n]
	}
	return m[page+inner-n:][:n:n]
}

func (f *fenced) check(t testing.TB) {
	for _, m := range f.maps {
		if err := syscall.Munmap(m); err != nil {
			t.Fatal(err)
		}
	}
	f.maps = nil
}

func TestNoLoopTouchesWhatLiesBeyondItsRows(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, l := range loops() {
		t.Run(l.name, func(t *testing.T) {
			defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
			n := 0
			defer func() {
				if fault := recover(); fault != nil {
					t.Fatalf("at %d items: %v", n, fault)
				}
			}()
			for n = 0; n <= 70; n++ {
				for _, before := range []bool{true, false} {
					m := &fenced{t: t, before: before}
					l.trial(m, r, n).fast()
					m.check(t)
				}
			}
		})
	}
}
