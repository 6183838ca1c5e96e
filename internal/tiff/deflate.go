package tiff

import (
	"slices"

	"github.com/klauspost/compress/zlib"
)

// deflater is the codec of Deflate: one zlib stream a strip.
//
// Its level is chosen by measurement: what is left of a strip, and MB of samples a
// second on one core of a server of the 2020s. BenchmarkDeflateLevel measures it anew.
//
//	                       Huffman only   level 1       level 6       level 9
//	16 bits, noisy photo   84 % at 340    100 % (!)     100 % (!)     84 % at 47
//	  half of it white     52 % at 270    43 % at 240   42 % at 170   42 % at 62
//	  all white            12 % at 330    0.5 % at 870  0.2 % at 330  0.1 % at 110
//	8 bits, noisy photo    48 % at 440    58 % at 130   53 % at 38    49 % at 7
//	  half of it white     33 % at 310    26 % at 220   27 % at 71    26 % at 26
//
// Differences of noise repeat nowhere, so the search for matches, which costs
// most of the time, gains nothing; the gain is all in the Huffman codes. Worse, this
// library's levels 1 to 6 take a block without matches for incompressible and
// store it as it is (!). Where most is flat it is the reverse: matches are everything,
// and level 1 is smaller, little slower at half and much faster at all. So strips are
// encoded with Huffman codes only, unless half or more of them is flat: then at level 1.
// Higher levels pay nowhere. A real photograph, enlarged 2.6 times in
// 16 bits, agrees: 52 % at 320, level 1 45 % at 145, level 6 44 % at 53.
type deflater struct {
	out         appender
	photo, flat *zlib.Writer // made when first needed
	now         *zlib.Writer
}

const (
	photoLevel = zlib.HuffmanOnly
	flatLevel  = zlib.BestSpeed
)

func (d *deflater) begin(dst []byte, flat bool) {
	d.out = dst
	w, level := &d.photo, photoLevel
	if flat {
		w, level = &d.flat, flatLevel
	}
	if *w == nil {
		*w, _ = zlib.NewWriterLevel(&d.out, level) // fails for unknown levels only
	} else {
		(*w).Reset(&d.out)
	}
	d.now = *w
}

// write cannot fail before end does: zlib keeps its first error, and an
// appender has none.
func (d *deflater) write(row []byte) { _, _ = d.now.Write(row) }

func (d *deflater) end() ([]byte, error) {
	err := d.now.Close()
	out := d.out
	d.out = nil
	return out, err
}

// appender is an io.Writer onto a byte slice.
type appender []byte

func (a *appender) Write(p []byte) (int, error) {
	*a = append(*a, p...)
	return len(p), nil
}

// mostlyFlat reports whether at least half of a strip is of even colour along
// its rows: paper white, a black ground, a drawn border. It looks at every
// fourth row, at runs of eight samples equal to those of the pixel before; single
// equal samples would not do, for an 8-bit photograph is full of them.
// width is the row's length in samples, n the pixel's.
func mostlyFlat[T sample](samples []T, width, n int) bool {
	const run, everyRow = 8, 4
	runs, flat := 0, 0
	for at := 0; at < len(samples); at += everyRow * width {
		row := samples[at : at+width]
		for i := n; i+run <= len(row); i += run {
			runs++
			if slices.Equal(row[i:i+run], row[i-n:i-n+run]) {
				flat++
			}
		}
	}
	return runs > 0 && 2*flat >= runs
}

// deflateBound is an upper bound of a zlib stream of n bytes. Deflate stores
// what it cannot shrink in blocks of up to 65,535 bytes, at five bytes each (RFC 1951,
// 3.2.4) and a few to end the block before; the bound allows for twice as many blocks,
// at 16 bytes, and 64 bytes for the stream's own header, end and checksum.
func deflateBound(n int64) int64 { return n + (n/32768+1)*16 + 64 }
