package tiff

import (
	"fmt"
	"testing"

	"github.com/klauspost/compress/zlib"
)

// benchStrip is a strip of a wide print, 32 rows of 8640 RGB pixels (24 in at 360 ppi).
func benchStrip(c Compression, bits int, white float64) (Header, []uint16) {
	h := header(8640, 32, bits, RGB, c)
	h.RowsPerStrip = 32
	return h, whiteBorder(marsh(h.Width, 32, 3), h.Width, 3, white)
}

// BenchmarkStrip measures bytes of samples per second on one core, and the compressed size.
func BenchmarkStrip(b *testing.B) {
	for _, c := range []Compression{None, Deflate, LZW} {
		for _, bits := range []int{8, 16} {
			for _, white := range []float64{0, 0.6} {
				h, px := benchStrip(c, bits, white)
				px8 := high(px)
				e := h.NewEncoder()
				var out []byte
				b.Run(fmt.Sprintf("%v/%d-bit/white=%v", c, bits, white), func(b *testing.B) {
					b.SetBytes(int64(h.rowBytes() * 32))
					b.ReportAllocs()
					for b.Loop() {
						if bits == 8 {
							out, _ = e.Strip8(out[:0], px8, 32)
						} else {
							out, _ = e.Strip16(out[:0], px, 32)
						}
					}
					b.ReportMetric(100*float64(len(out))/float64(h.rowBytes()*32), "%size")
				})
			}
		}
	}
}

// BenchmarkDeflateLevel measures what the choice of levels in deflate.go is based on.
func BenchmarkDeflateLevel(b *testing.B) {
	for _, bits := range []int{16, 8} {
		for _, white := range []float64{0, 0.25, 0.5, 1} {
			h, px := benchStrip(Deflate, bits, white)
			px8 := high(px)
			raw := make([]byte, h.rowBytes()*32)
			for y := range 32 {
				row := raw[y*h.rowBytes():][:h.rowBytes()]
				if at := y * h.rowSamples(); bits == 8 {
					difference8(row, px8[at:at+h.rowSamples()], 3)
				} else {
					difference16(row, px[at:at+h.rowSamples()], 3)
				}
			}
			for _, level := range []int{zlib.HuffmanOnly, 1, 2, 5, 6, 9} {
				b.Run(fmt.Sprintf("%d-bit/white=%v/level=%d", bits, white, level), func(b *testing.B) {
					var out appender
					z, _ := zlib.NewWriterLevel(&out, level)
					b.SetBytes(int64(len(raw)))
					for b.Loop() {
						out = out[:0]
						z.Reset(&out)
						_, _ = z.Write(raw)
						_ = z.Close()
					}
					b.ReportMetric(100*float64(len(out))/float64(len(raw)), "%size")
				})
			}
		}
	}
}
