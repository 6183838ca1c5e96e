// Package tiff writes print files: TIFF 6.0, or BigTIFF where the file turns
// out too large for it, from strips that arrive one at a time. The picture is
// never held whole. It writes and does not read.
//
// # The file
//
// A TIFF is a header that points at a directory (an IFD), which holds tags,
// which hold the picture's facts or point at them. Nothing says where in the
// file the directory stands, and this package puts it last:
//
//	offset 0    header, 16 bytes: zeros until Close
//	offset 16   strip 0, strip 1, ... each begun on an even offset
//	            the EXIF directory and its values, if there is a capture time
//	            the main directory, then the values too long to stand in it:
//	            texts, resolution, the strips' offsets and sizes, the profile
//	end of file
//
// Strips go first because a compressed strip's size is known only once it is
// made; so are the tables of offsets and sizes. For the same reason nobody
// knows until the end whether the file fits in the 4 GiB that TIFF's 32-bit
// offsets reach. The writer therefore reserves as many bytes as the larger of
// the two headers needs and settles the matter in [Writer.Close], from the bytes
// really written: if all of it, directory included, ends below 4 GiB the file
// is a classic TIFF (magic number 42), which everything reads; otherwise it is
// a BigTIFF (43), the same structure with 64-bit offsets. A classic file leaves
// eight of the sixteen bytes unused, which TIFF permits.
//
// The header is written last of all, so a file cut short by a power failure
// begins with zeros and is no TIFF to any reader, rather than half a print.
//
// # The work
//
// Making strips is the costly part and is apart from writing them. Each worker
// has its own [Encoder], which turns the samples of a strip into the strip's
// bytes; one [Writer] takes those bytes in order:
//
//	w, err := tiff.NewWriter(file, header)
//	enc := header.NewEncoder() // one for each goroutine
//	for i := range header.Strips() {
//		buf, err = enc.Strip16(buf[:0], samples(i), header.StripRows(i))
//		err = w.WriteStrip(buf)
//	}
//	err = w.Close() // directory and header; the file itself stays open
//
// A strip's bytes depend on its samples and the header alone, so a print is the
// same file whatever the number of workers.
//
// All numbers are little-endian. Samples are interleaved (PlanarConfiguration
// 1), unsigned, without alpha; the picture stands upright (Orientation 1).
//
// Sources: TIFF Revision 6.0 (Adobe, 1992); TIFF Technical Note 2 and the
// Photoshop TIFF Technical Notes (Adobe, 2002) for deflate; the BigTIFF design
// as libtiff publishes it; CIPA DC-008 (EXIF 2.32); ICC.1:2022 annex B.4 for
// the embedded profile.
package tiff

import "fmt"

// Photometric is what the samples of a pixel mean.
type Photometric int

const (
	// Grey is one sample a pixel, 0 black and the largest value white.
	Grey Photometric = iota
	// RGB is three samples a pixel: red, green, blue, 0 dark.
	RGB
	// CMYK is four samples a pixel: cyan, magenta, yellow, black, 0 no ink
	// and the largest value full ink (TIFF 6.0 section 16).
	CMYK
)

// Samples is the number of samples a pixel has: 1, 3 or 4; 0 if p is unknown.
func (p Photometric) Samples() int {
	switch p {
	case Grey:
		return 1
	case RGB:
		return 3
	case CMYK:
		return 4
	}
	return 0
}

// String names p as the trade does: "grey", "RGB", "CMYK".
func (p Photometric) String() string {
	switch p {
	case Grey:
		return "grey"
	case RGB:
		return "RGB"
	case CMYK:
		return "CMYK"
	}
	return fmt.Sprintf("Photometric(%d)", int(p))
}

// tag is the value of tag PhotometricInterpretation.
func (p Photometric) tag() uint16 {
	switch p {
	case RGB:
		return 2
	case CMYK:
		return 5 // Separated
	}
	return 1 // BlackIsZero
}

// Compression is how the bytes of a strip are packed. All are lossless.
type Compression int

const (
	// None stores samples as they are: the fastest to write and to read.
	None Compression = iota
	// Deflate is the zlib stream of RFC 1950 over horizontal differences
	// (Predictor 2). It is the smallest and the usual choice.
	Deflate
	// LZW is TIFF's own, for readers too old for deflate, over the same
	// differences. On noisy 16-bit pictures it makes files larger than None
	// does: the low bytes are noise, and noise costs it up to 12 bits a byte.
	LZW
)

// String names c as [ParseCompression] reads it.
func (c Compression) String() string {
	switch c {
	case None:
		return "none"
	case Deflate:
		return "deflate"
	case LZW:
		return "lzw"
	}
	return fmt.Sprintf("Compression(%d)", int(c))
}

// ParseCompression reads "deflate", "lzw" or "none", in lower case as a
// configuration file has it. Anything else is an error that lists the three.
func ParseCompression(name string) (Compression, error) {
	for _, c := range []Compression{None, Deflate, LZW} {
		if name == c.String() {
			return c, nil
		}
	}
	return None, fmt.Errorf(`compression %q is not known; write "deflate", "lzw" or "none"`, name)
}

// tag is the value of tag Compression.
func (c Compression) tag() uint16 {
	switch c {
	case Deflate:
		return 8 // Adobe's, not the obsolete 32946
	case LZW:
		return 5
	}
	return 1
}

// predicts reports whether strips hold horizontal differences.
func (c Compression) predicts() bool { return c == Deflate || c == LZW }

// maxBytes is an upper bound of the encoded size of a strip of n bytes.
func (c Compression) maxBytes(n int64) int64 {
	switch c {
	case Deflate:
		return deflateBound(n)
	case LZW:
		return lzwBound(n)
	}
	return n
}
