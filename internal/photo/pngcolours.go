package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"

	"sizewright/internal/plural"
)

// Stated is what a file says of its colours in numbers, apart from a profile. The
// numbers are as in the file and need not make a colour space.
type Stated struct {
	CICP      *CICP      // of a PNG or a HEIF (then From says so), where it is well formed
	SRGB      bool       // a PNG's sRGB chunk
	Primaries *Primaries // of PNG's cHRM chunk, or WhitePoint and PrimaryChromaticities of TIFF and EXIF
	Gamma     float64    // power from values to light: 1/gAMA of a PNG, or EXIF's Gamma; 0 if not stated
	From      string     // where they were found: FromPNG, FromEXIF, FromTIFF or FromHEIF
}

// The places where a file states its colours in numbers.
const (
	FromPNG  = "png"  // gAMA and cHRM chunks
	FromEXIF = "exif" // WhitePoint, PrimaryChromaticities and Gamma of EXIF
	FromTIFF = "tiff" // the same as a TIFF's own tags
	FromHEIF = "heif" // the code points of a HEIF
)

// CICP is a pair of code points of ITU-T H.273 for RGB of full range.
type CICP struct{ Primaries, Transfer byte }

// Primaries are CIE 1931 chromaticities, x and y.
type Primaries struct{ White, Red, Green, Blue [2]float64 }

// pngColours is how far the colour chunks of a PNG have been read.
type pngColours struct {
	over bool           // the palette or the picture was read: what follows does not count
	seen map[string]int // how often each was read: the first of each counts
}

// pngColourChunks are the chunks of PNG, third edition, 11.3.2 that say what colours
// mean, with their length (0: any). internal/order decides which of them counts.
var pngColourChunks = map[string]struct {
	length int
	read   func(in *Info, b []byte, lim Limits) error
}{
	"cICP": {4, (*Info).readCICP},
	"iCCP": {0, (*Info).readICCP},
	"sRGB": {1, func(in *Info, _ []byte, _ Limits) error { in.Stated.SRGB = true; return nil }},
	"cHRM": {32, func(in *Info, b []byte, _ Limits) error { in.readCHRM(b); return nil }},
	"gAMA": {4, func(in *Info, b []byte, _ Limits) error { in.readGAMA(b); return nil }},
}

// readPNGColours reads one of those chunks. A fault of the chunk is a caution. The error
// is for a picture that cannot be printed as it is.
func (in *Info) readPNGColours(c *pngColours, chunk pngChunk, lim Limits) error {
	name, size := chunk.name, chunk.data.Size()
	if name == "cICP" { // even where it does not count
		if err := checkRange(chunk.data); err != nil {
			return err
		}
	}
	if c.seen == nil {
		c.seen = map[string]int{}
	}
	c.seen[name]++
	kind := pngColourChunks[name]
	switch {
	case c.seen[name] > 2: // reported already
		return nil
	case c.seen[name] == 2:
		in.cautionColours("The PNG has more than one %s chunk; only the first counts.", name)
		return nil
	case c.over:
		in.cautionColours("The PNG's %s chunk lies after its palette or its picture, where it does not count; it was left out.", name)
		return nil
	case kind.length != 0 && size != int64(kind.length):
		in.cautionColours("The PNG's %s chunk is %s long and should be %d; it was left out.", name, plural.Count(size, "byte", "bytes"), kind.length)
		return nil
	}
	// A compressed profile is hardly ever longer than it is uncompressed.
	b, err := chunk.read(max(kind.length, lim.MaxProfileBytes))
	if err != nil && kind.length != 0 {
		return err
	}
	return kind.read(in, b, lim)
}

// checkRange refuses high dynamic range, which no profile converts to paper.
func checkRange(cicp *io.SectionReader) error {
	var b [4]byte
	if n, err := cicp.ReadAt(b[:], 0); n < len(b) && err != io.EOF {
		return err
	}
	name := map[byte]string{transferPQ: "PQ", transferHLG: "HLG"}[b[1]]
	if name == "" {
		return nil
	}
	return highRange(name, "its cICP chunk")
}

func highRange(name, by string) error {
	return unsupported("is a picture of high dynamic range ("+name+"), as "+by+" says; a person must decide how to print its highlights",
		"convert it to standard dynamic range in an editor, export it as sRGB or Display P3 and drop it again")
}

// readICCP keeps the profile. Before there was a cICP chunk, the profile's name marked a
// picture in PQ: W3C Group Note "Using the ITU BT.2100 PQ EOTF with the PNG
// Format" (2017).
func (in *Info) readICCP(b []byte, lim Limits) error {
	if bytes.HasPrefix(b, []byte("ITUR_2100_PQ_FULL\x00")) {
		return highRange("PQ", "the name of its profile")
	}
	in.setProfile(inflateICCP(b, lim))
	return nil
}

func (in *Info) cautionColours(format string, args ...any) {
	in.caution(CautionColours, fmt.Sprintf(format, args...))
}

// Transfer characteristics of ITU-T H.273, table 3: unspecified, and those of high
// dynamic range.
const (
	transferUnspecified = 2
	transferPQ          = 16
	transferHLG         = 18
)

// readCICP keeps the code points. PNG is always RGB, so matrix coefficients must be 0 (11.3.2.6).
func (in *Info) readCICP(b []byte, _ Limits) error {
	primaries, transfer, matrix, fullRange := b[0], b[1], b[2], b[3]
	switch {
	case matrix != 0:
		in.cautionColours("The PNG's cICP chunk has matrix coefficients %d, which must be 0 in a PNG; it was left out.", matrix)
	case fullRange > 1:
		in.cautionColours("The PNG's cICP chunk has a full range flag of %d, which must be 0 or 1; it was left out.", fullRange)
	case fullRange == 0:
		return unsupported("is a PNG of narrow-range video values, as its cICP chunk says; these are not read here",
			"export it in full range")
	case primaries == transferUnspecified && transfer == transferUnspecified: // the same as no chunk
	default:
		in.Stated.CICP = &CICP{Primaries: primaries, Transfer: transfer}
	}
	return nil
}

// readCHRM reads eight signed numbers in units of 1/100000.
func (in *Info) readCHRM(b []byte) {
	var p Primaries
	for i, at := range []*float64{&p.White[0], &p.White[1], &p.Red[0], &p.Red[1], &p.Green[0], &p.Green[1], &p.Blue[0], &p.Blue[1]} {
		*at = float64(int32(binary.BigEndian.Uint32(b[4*i:]))) / 100000
	}
	in.Stated.Primaries, in.Stated.From = &p, FromPNG
}

// readGAMA reads one number in units of 1/100000: the power from light to values.
func (in *Info) readGAMA(b []byte) {
	v := binary.BigEndian.Uint32(b)
	if v == 0 {
		in.cautionColours("The PNG's gAMA chunk is 0, which is not a gamma; it was left out.")
		return
	}
	in.Stated.Gamma, in.Stated.From = 100000/float64(v), FromPNG
}
