package photo

import (
	"time"

	"sizewright/internal/plural"
)

// Limits bounds what one file may ask of this machine. They are checked
// before the memory or the time they guard is spent, but for the last two, which
// are for what no header foretells: package isolate holds the process that decodes to
// them. Start from [DefaultLimits]: the zero Limits refuses every file.
type Limits struct {
	// MaxFileBytes is the largest file that is opened at all, in bytes.
	MaxFileBytes int64
	// MaxPixels is the largest width x height, in pixels.
	MaxPixels int64
	// MaxSide is the longest width or height, in pixels.
	MaxSide int
	// MaxDecodeBytes bounds the memory a decoder may need for one picture while
	// it works, in bytes, estimated from the header. It is what stops a
	// progressive JPEG or interlaced PNG that is within MaxPixels but must be
	// held several times over.
	MaxDecodeBytes int64
	// MaxExpansion bounds how many bytes of pixels a file may unpack to for each
	// of its own, once the pixels are more than expansionFree. A photograph
	// compressed until it falls to pieces has some 100; a bomb has 1,000.
	MaxExpansion int
	// MaxProfileBytes bounds an ICC profile, in bytes, after inflating.
	MaxProfileBytes int
	// MaxEXIFBytes bounds an EXIF block in a JPEG or PNG, in bytes.
	MaxEXIFBytes int
	// MaxTextBytes is where a text of EXIF (a maker, an artist) is cut, in
	// bytes of UTF-8.
	MaxTextBytes int
	// MaxIFDEntries bounds the entries of one TIFF or EXIF directory.
	MaxIFDEntries int
	// MaxDirectories bounds how many directories of a TIFF or of an EXIF block are
	// read in all: its own, EXIF's, and those of further pages.
	MaxDirectories int
	// MaxSegments bounds the marker segments of a JPEG and the chunks of a PNG.
	MaxSegments int
	// MaxScans bounds the passes of a progressive JPEG. Each costs time in
	// proportion to the pixels, and almost no bytes. Encoders use about ten.
	MaxScans int
	// MaxBlocks bounds the strips or tiles of a TIFF.
	MaxBlocks int
	// MaxDecodeTime is how long a file of no size may take to be decoded; see
	// [Limits.TimeFor].
	MaxDecodeTime time.Duration
	// MaxMemoryBytes is all the memory that the decoding process may take, in bytes,
	// whatever the header said. It leaves room above MaxDecodeBytes, which is
	// an estimate.
	MaxMemoryBytes int64
}

// DefaultLimits returns limits generous to photographs, stitched panoramas
// included, and hostile to anything that only looks like one.
func DefaultLimits() Limits {
	return Limits{
		MaxFileBytes:    2 << 30,
		MaxPixels:       400e6,
		MaxSide:         100_000,
		MaxDecodeBytes:  4 << 30,
		MaxExpansion:    400,
		MaxProfileBytes: 16 << 20,
		MaxEXIFBytes:    1 << 20,
		MaxTextBytes:    1 << 10,
		MaxIFDEntries:   1024,
		MaxDirectories:  64,
		MaxSegments:     1 << 20,
		MaxScans:        100,
		MaxBlocks:       1 << 22,
		MaxDecodeTime:   2 * time.Minute,
		MaxMemoryBytes:  5 << 30,
	}
}

// slowestDisk is what a file is read at, in bytes a second, when MaxDecodeTime
// starts to be spent: a share over a slow network.
const slowestDisk = 8 << 20

// TimeFor is how long a file of so many bytes may take to be decoded: MaxDecodeTime,
// and a second for every 8 MiB, as a slow disk takes to give it.
func (l Limits) TimeFor(bytes int64) time.Duration {
	return l.MaxDecodeTime + time.Duration(float64(bytes)/slowestDisk*float64(time.Second))
}

// expansionFree is how many bytes of pixels any file may unpack to, however small
// it is: 40 megapixels of nothing but white are no danger.
const expansionFree = 128 << 20

// demand is what a header asks for.
type demand struct {
	width, height int     // px
	peak          float64 // bytes a pixel, of all that the decoder holds at once
	unpacked      float64 // bytes a pixel, of the samples that it unpacks
	file          int64   // bytes of the file
}

// check refuses a picture that asks for too much. It must be asked before
// anything is allocated.
func (l Limits) check(d demand) error {
	w, h := d.width, d.height
	if w <= 0 || h <= 0 {
		return damaged("says that it has no pixels", nil)
	}
	if w > l.MaxSide || h > l.MaxSide || int64(w) > l.MaxPixels/int64(h) {
		return wrong(TooLarge, nil, "says that it is %d x %d pixels, more than the %d million (or %d a side) that are read here",
			w, h, l.MaxPixels/1e6, l.MaxSide)
	}
	pixels := float64(w) * float64(h)
	if need := pixels * d.peak; need > float64(l.MaxDecodeBytes) {
		return wrong(TooLarge.With("export it as a TIFF, or smaller"), nil,
			"would need %.1f GiB of memory to decode its %d x %d pixels, more than the %.1f GiB allowed",
			need/(1<<30), w, h, float64(l.MaxDecodeBytes)/(1<<30))
	}
	if bytes := pixels * d.unpacked; bytes > expansionFree && bytes/float64(l.MaxExpansion) > float64(d.file) {
		return wrong(TooLarge.With("if it is meant so, export it as a TIFF without compression"), nil,
			"says that its %s hold %d x %d pixels, more than %s as much as it is long, which no photograph does",
			plural.Count(d.file, "byte", "bytes"), w, h, plural.Count(int64(l.MaxExpansion), "time", "times"))
	}
	return nil
}
