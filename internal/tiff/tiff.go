// Package tiff writes print files: TIFF 6.0, or BigTIFF if the file becomes too large
// for it, from strips that arrive one at a time. The picture is never held whole.
// [Check] is the only function that reads.
//
// # The file
//
// A TIFF is a header that points at a directory (an IFD). The directory holds tags,
// which contain the picture's properties or point at them. A directory may be anywhere
// in the file; this package puts it last:
//
//	offset 0    header, 16 bytes: zeros until Close
//	offset 16   strip 0, strip 1, ... each at an even offset
//	            the EXIF directory and its values, if there is a capture time
//	            the main directory, then the values too long to fit in it:
//	            texts, resolution, the strips' offsets and sizes, the profile
//	end of file
//
// Strips come first because the size of a compressed strip, and so the tables of
// offsets and sizes, are known only afterwards. For the same reason it is not known
// until the end whether the file fits in the 4 GiB that TIFF's 32-bit offsets reach. So
// the writer reserves the size of the larger header, and [Writer.Close] decides from
// the bytes written. If the whole file, including the directory, ends below 4 GiB, it
// is a classic TIFF (magic number 42), which every program reads. Otherwise it is a
// BigTIFF (43), the same structure with 64-bit offsets. A classic file leaves eight of
// the sixteen bytes unused, which TIFF permits.
//
// The header is written last, so a file truncated by a power failure begins with zeros.
// No reader takes it for a TIFF.
//
// # Encoding
//
// Encoding strips is the costly part and is separate from writing them. Each worker has
// its own [Encoder], which turns the samples of a strip into bytes. One [Writer] takes
// those bytes in order:
//
//	w, err := tiff.NewWriter(file, header)
//	enc := header.NewEncoder() // one for each goroutine
//	for i := range header.Strips() {
//		buf, err = enc.Strip16(buf[:0], samples(i), header.StripRows(i))
//		err = w.WriteStrip(buf)
//	}
//	err = w.Close() // directory and header; the file itself stays open
//
// A strip's bytes depend only on its samples and the header, so a print is the same
// file for any number of workers.
//
// All numbers are little-endian. Samples are interleaved (PlanarConfiguration 1),
// unsigned, without alpha; the picture is upright (Orientation 1).
//
// Sources: TIFF Revision 6.0 (Adobe, 1992); TIFF Technical Note 2 and the Photoshop
// TIFF Technical Notes (Adobe, 2002) for deflate; the BigTIFF design as published by
// libtiff; CIPA DC-008 (EXIF 2.32); ICC.1:2022 annex B.4 for the embedded profile.
package tiff

import (
	"cmp"
	"fmt"
)

// Photometric is the meaning of a pixel's samples.
type Photometric int

const (
	// Grey is one sample per pixel: 0 is black, the largest value is white.
	Grey Photometric = iota
	// RGB is three samples per pixel: red, green, blue; 0 is dark.
	RGB
	// CMYK is four samples per pixel: cyan, magenta, yellow, black; 0 is no ink,
	// the largest value is full ink (TIFF 6.0 section 16).
	CMYK
)

// photometrics are their names, samples per pixel and values of tag
// PhotometricInterpretation.
var photometrics = map[Photometric]struct {
	name    string
	samples int
	tag     uint16
}{
	Grey: {"grey", 1, 1}, // BlackIsZero
	RGB:  {"RGB", 3, 2},
	CMYK: {"CMYK", 4, 5}, // Separated
}

// Samples returns the number of samples per pixel: 1, 3 or 4; 0 if p is unknown.
func (p Photometric) Samples() int { return photometrics[p].samples }

// String returns "grey", "RGB" or "CMYK".
func (p Photometric) String() string {
	return cmp.Or(photometrics[p].name, fmt.Sprintf("Photometric(%d)", int(p)))
}

func (p Photometric) tag() uint16 { return photometrics[p].tag }

// Compression is the compression of strips. All methods are lossless.
type Compression int

const (
	// None stores samples unchanged. It is the fastest to write and to read.
	None Compression = iota
	// Deflate is the zlib stream of RFC 1950 over horizontal differences (Predictor 2).
	// It is the smallest and the default.
	Deflate
	// LZW is TIFF's own compression, over the same differences, for readers too old
	// for deflate. On noisy 16-bit pictures it makes larger files than None: the low
	// bytes are noise, and noise costs up to 12 bits per byte.
	LZW
)

// compressions are their names and values of tag Compression.
var compressions = map[Compression]struct {
	name string
	tag  uint16
}{
	None:    {"none", 1},
	Deflate: {"deflate", 8}, // Adobe's, not the obsolete 32946
	LZW:     {"lzw", 5},
}

// String returns the name that [ParseCompression] accepts.
func (c Compression) String() string {
	return cmp.Or(compressions[c].name, fmt.Sprintf("Compression(%d)", int(c)))
}

// ParseCompression accepts "deflate", "lzw" and "none", as a configuration file has
// them.
func ParseCompression(name string) (Compression, error) {
	for c, is := range compressions {
		if name == is.name {
			return c, nil
		}
	}
	return None, fmt.Errorf(`compression %q is not known; write "deflate", "lzw" or "none"`, name)
}

func (c Compression) tag() uint16 { return compressions[c].tag }

// predicts reports whether strips hold horizontal differences.
func (c Compression) predicts() bool { return c == Deflate || c == LZW }

// maxBytes returns an upper bound for the encoded size of a strip of n bytes.
func (c Compression) maxBytes(n int64) int64 {
	switch c {
	case Deflate:
		return deflateBound(n)
	case LZW:
		return lzwBound(n)
	}
	return n
}
