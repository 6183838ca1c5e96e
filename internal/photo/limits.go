package photo

import (
	"time"

	"sizewright/internal/plural"
)

// Limits bounds what one file may cost this machine. They are checked before memory or
// time is spent, except for the last two, which are for what no header shows: package
// isolate enforces them on the process that decodes. Start from [DefaultLimits]: the
// zero Limits refuses every file.
type Limits struct {
	// MaxFileBytes is the largest file that is opened at all, in bytes.
	MaxFileBytes int64
	// MaxPixels is the largest width x height, in pixels.
	MaxPixels int64
	// MaxSide is the longest width or height, in pixels.
	MaxSide int
	// MaxDecodeBytes bounds the memory a decoder needs at its peak, in bytes, estimated
	// from the header. It stops a progressive JPEG or interlaced PNG that is within
	// MaxPixels but must be in memory several times over. The pixels of a TIFF or PSD that
	// take more than half of it go to a file instead: see [Room].
	MaxDecodeBytes int64
	// MaxExpansion bounds the bytes of pixels for each byte of the file, once the
	// pixels are more than expansionFree. A photograph compressed until little of it is
	// left has about 100; a decompression bomb has 1,000.
	MaxExpansion int
	// MaxProfileBytes bounds an ICC profile, in bytes, after inflating.
	MaxProfileBytes int
	// MaxEXIFBytes bounds an EXIF block in a JPEG or PNG, in bytes.
	MaxEXIFBytes int
	// MaxTextBytes bounds a text of EXIF or IPTC (a maker, a description), in bytes of
	// UTF-8. A longer one is cut, and that is said. IPTC's own limit is 2,000 characters.
	MaxTextBytes int
	// MaxIFDEntries bounds the entries of one TIFF or EXIF directory.
	MaxIFDEntries int
	// MaxDirectories bounds the directories of a TIFF or of an EXIF block that are read:
	// its own, EXIF's, and those of further pages.
	MaxDirectories int
	// MaxSegments bounds the marker segments of a JPEG and the chunks of a PNG.
	MaxSegments int
	// MaxScans bounds the passes of a progressive JPEG. Each costs time for every pixel
	// and almost no bytes. Encoders use about ten.
	MaxScans int
	// MaxBlocks bounds the strips or tiles of a TIFF.
	MaxBlocks int
	// MaxDecodeTime bounds the time of decoding, apart from reading the file; see
	// [Limits.TimeFor].
	MaxDecodeTime time.Duration
	// MaxMemoryBytes bounds all the memory of the decoding process, in bytes, whatever
	// the header said. It is more than MaxDecodeBytes, which is an estimate.
	MaxMemoryBytes int64
}

// DefaultLimits returns limits that every photograph meets, stitched panoramas included,
// and that stop files made to do harm. A PSB has 300,000 pixels a side at most.
func DefaultLimits() Limits {
	return Limits{
		MaxFileBytes:    16 << 30,
		MaxPixels:       4000e6,
		MaxSide:         300_000,
		MaxDecodeBytes:  4 << 30,
		MaxExpansion:    400,
		MaxProfileBytes: 16 << 20,
		MaxEXIFBytes:    1 << 20,
		MaxTextBytes:    4 << 10,
		MaxIFDEntries:   1024,
		MaxDirectories:  64,
		MaxSegments:     1 << 20,
		MaxScans:        100,
		MaxBlocks:       1 << 22,
		MaxDecodeTime:   2 * time.Minute,
		MaxMemoryBytes:  5 << 30,
	}
}

// slowestDisk is the reading speed, in bytes a second, that TimeFor allows for: a share
// over a slow network.
const slowestDisk = 8 << 20

// TimeFor is how long a file of so many bytes may take to be decoded: MaxDecodeTime, and
// a second for every 8 MiB, which a slow disk takes to read it.
func (l Limits) TimeFor(bytes int64) time.Duration {
	return l.MaxDecodeTime + time.Duration(float64(bytes)/slowestDisk*float64(time.Second))
}

// expansionFree is how many bytes of pixels any file may unpack to, however small it is.
// 40 megapixels of plain white do no harm.
const expansionFree = 128 << 20

// demand is what a picture costs, by its header.
type demand struct {
	width, height int     // px
	peak          float64 // bytes a pixel of the decoder's peak memory
	unpacked      float64 // bytes a pixel of the unpacked samples
	file          int64   // bytes of the file
	roomy         float64 // bytes a pixel of the peak that may be in a [Room]
}

// needsRoom reports whether the planes of a picture are too much for memory.
func (l Limits) needsRoom(d demand) bool {
	return float64(d.width)*float64(d.height)*d.roomy > float64(l.MaxDecodeBytes)/2
}

// check refuses a picture that is beyond the limits. Call it before allocating anything.
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
	peak := d.peak
	if l.needsRoom(d) {
		peak -= d.roomy
	}
	if need := pixels * peak; need > float64(l.MaxDecodeBytes) {
		return wrong(TooLarge.With("export it as a TIFF, or smaller"), nil,
			"would need %.1f GiB of memory to decode its %d x %d pixels, more than the %.1f GiB allowed",
			need/(1<<30), w, h, float64(l.MaxDecodeBytes)/(1<<30))
	}
	if bytes := pixels * d.unpacked; bytes > expansionFree && bytes/float64(l.MaxExpansion) > float64(d.file) {
		return wrong(TooLarge.With("if this is intended, export it as a TIFF without compression"), nil,
			"says that its %s hold %d x %d pixels, which unpack to more than %s its length; no photograph does that",
			plural.Count(d.file, "byte", "bytes"), w, h, plural.Count(int64(l.MaxExpansion), "time", "times"))
	}
	return nil
}
