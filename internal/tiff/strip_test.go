package tiff

import (
	"bytes"
	"slices"
	"strings"
	"sync"
	"testing"
)

func TestAStripIsTheSameFromAnyEncoderAndBuffer(t *testing.T) {
	every(t, func(t *testing.T, p Photometric, bits int, c Compression) {
		h := header(200, 40, bits, p, c)
		px := marsh(h.Width, h.Height, p.Samples())
		before := slices.Clone(px)
		one, want := h.NewEncoder(), make([][]byte, h.Strips())
		for i := range want {
			var err error
			if want[i], err = encodeStrip(one, nil, px, i); err != nil {
				t.Fatal(err)
			}
		}
		var workers sync.WaitGroup
		for range 4 {
			workers.Go(func() {
				e, buf := h.NewEncoder(), []byte("kept")
				for i := h.Strips() - 1; i >= 0; i-- {
					var err error
					buf, err = encodeStrip(e, buf[:4], px, i)
					if err != nil || string(buf[:4]) != "kept" || !bytes.Equal(buf[4:], want[i]) {
						t.Errorf("strip %d differs (%v)", i, err)
					}
				}
			})
		}
		workers.Wait()
		if !slices.Equal(px, before) {
			t.Error("the caller's samples were changed")
		}
	})
}

func TestAnEncoderRefusesWhatIsNoStripOfItsFile(t *testing.T) {
	h := header(10, 40, 16, RGB, None) // strips of 7 rows, the last of 5
	e := h.NewEncoder()
	for _, c := range []struct {
		samples, rows int
		want          string
	}{
		{10 * 7 * 3, 7, ""},
		{10 * 5 * 3, 5, ""},
		{10 * 6 * 3, 6, "strips of 7 rows, the last of 5"},
		{0, 0, "strips of 7 rows"},
		{10 * 7, 7, "7 rows of 10 RGB pixels have 210"},
		{10*7*3 + 1, 7, "211 samples"},
	} {
		out, err := e.Strip16(nil, make([]uint16, c.samples), c.rows)
		if c.want == "" && (err != nil || len(out) != 2*c.samples) {
			t.Errorf("%d rows: %d bytes, %v", c.rows, len(out), err)
		}
		if c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%d samples, %d rows: %v, want %q", c.samples, c.rows, err, c.want)
		}
	}
	if _, err := e.Strip8(nil, make([]uint8, 210), 7); err == nil || !strings.Contains(err.Error(), "use Strip16") {
		t.Errorf("8-bit samples: %v", err)
	}
}

// An encoder that is given a buffer does not allocate memory.
func TestAnEncoderTakesNoMemoryOnceWarm(t *testing.T) {
	for _, c := range []Compression{None, Deflate, LZW} {
		h := header(500, 14, 16, RGB, c)
		e, px := h.NewEncoder(), marsh(500, 7, 3)
		buf, err := e.Strip16(nil, px, 7)
		if err != nil {
			t.Fatal(err)
		}
		if n := testing.AllocsPerRun(10, func() { buf, _ = e.Strip16(buf[:0], px, 7) }); n != 0 {
			t.Errorf("%v: %v allocations a strip", c, n)
		}
	}
}
