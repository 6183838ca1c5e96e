package tiff

import (
	"bytes"
	"testing"
)

// written returns a complete file.
func written(t *testing.T, h Header, big bool) []byte {
	t.Helper()
	f := new(memFile)
	w := begin(t, f, h)
	if big {
		w.limit = 100
	}
	put(t, w, h.Strips())
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return f.b
}

func check(b []byte, w, h int) error { return Check(bytes.NewReader(b), int64(len(b)), w, h) }

func TestAFileThatIsAsItWasWrittenIsWhole(t *testing.T) {
	for _, p := range []Photometric{Grey, RGB, CMYK} {
		for _, c := range []Compression{None, Deflate, LZW} {
			for _, bits := range []int{8, 16} {
				for _, big := range []bool{false, true} {
					for _, size := range [][2]int{{60, 40}, {1, 1}, {301, 7}} {
						h := header(size[0], size[1], bits, p, c)
						h.Software, h.DateTimeOriginal = "sizewright", "2026:03:14 06:12:00"
						if err := check(written(t, h, big), size[0], size[1]); err != nil {
							t.Errorf("%v %v, %d bits, big %t, %v: %v", p, c, bits, big, size, err)
						}
					}
				}
			}
		}
	}
}

func TestAFileThatWasCutOrOverwrittenIsNotWhole(t *testing.T) {
	for _, big := range []bool{false, true} {
		for _, c := range []Compression{Deflate, LZW} {
			whole := written(t, header(60, 40, 16, RGB, c), big)
			for n := range whole {
				if n%97 > 0 && n > 200 && n < len(whole)-200 {
					continue
				}
				if check(whole[:n], 60, 40) == nil && n < len(whole)-300 {
					t.Errorf("%v, big %t: cut to %d of %d bytes, it passes", c, big, n, len(whole))
				}
			}
			for name, fault := range map[string]func(b []byte) []byte{
				"the front zeroed":              func(b []byte) []byte { clear(b[:16]); return b },
				"a strip zeroed":                func(b []byte) []byte { clear(b[16+len(b)/8:][:len(b)/4]); return b },
				"all after the header zeroed":   func(b []byte) []byte { clear(b[16:]); return b },
				"all zeroed":                    func(b []byte) []byte { clear(b); return b },
				"the last third zeroed":         func(b []byte) []byte { clear(b[2*len(b)/3:]); return b },
				"a text":                        func(b []byte) []byte { return bytes.Repeat([]byte("salt marsh, dawn"), len(b)/16+1)[:len(b)] },
				"another size":                  func(b []byte) []byte { return written(t, header(40, 60, 16, RGB, c), big) },
				"the other order of its bytes":  func(b []byte) []byte { b[0], b[1] = 'M', 'M'; return b },
				"the directory far away":        func(b []byte) []byte { copy(b[4:], bytes.Repeat([]byte{0xff}, 12)); return b },
				"the directory in the header":   func(b []byte) []byte { copy(b[4:], []byte{8, 0, 0, 0, 8, 0, 0, 0, 0, 0, 0, 0}); return b },
				"the directory among the strip": func(b []byte) []byte { copy(b[4:], []byte{40, 0, 0, 0, 40, 0, 0, 0, 0, 0, 0, 0}); return b },
			} {
				if err := check(fault(bytes.Clone(whole)), 60, 40); err == nil {
					t.Errorf("%v, big %t: with %s it passes", c, big, name)
				}
			}
		}
	}
}

// FuzzCheck checks arbitrary files.
func FuzzCheck(f *testing.F) {
	for _, big := range []bool{false, true} {
		h := header(6, 14, 8, RGB, LZW)
		strips := []byte{0x80, 1, 2, 3, 0x80, 5, 6, 7}
		tail, ifd := h.tail(24, big, []int64{16, 20}, []int64{4, 3})
		b := append(append(fileHeader(big, ifd), strips...), tail...)
		if err := check(b, 6, 14); err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) { _ = check(b, 6, 14) })
}
