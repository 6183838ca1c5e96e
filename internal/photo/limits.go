package photo

import "fmt"

// Limits bounds what one file may ask of this machine. All of them are checked
// before the memory or the time they guard is spent. Start from
// [DefaultLimits]: the zero Limits refuses every file.
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
	// MaxProfileBytes bounds an ICC profile, in bytes, after inflating.
	MaxProfileBytes int
	// MaxEXIFBytes bounds an EXIF block in a JPEG or PNG, in bytes.
	MaxEXIFBytes int
	// MaxTextBytes is where a text of EXIF (a maker, an artist) is cut, in
	// bytes of UTF-8.
	MaxTextBytes int
	// MaxIFDEntries bounds the entries of one TIFF or EXIF directory.
	MaxIFDEntries int
	// MaxPages bounds how many directories of a TIFF are visited to learn
	// whether it has more than one page.
	MaxPages int
	// MaxSegments bounds the marker segments of a JPEG and the chunks of a PNG.
	MaxSegments int
	// MaxScans bounds the passes of a progressive JPEG. Each costs time in
	// proportion to the pixels, and almost no bytes. Encoders use about ten.
	MaxScans int
	// MaxBlocks bounds the strips or tiles of a TIFF.
	MaxBlocks int
}

// DefaultLimits returns limits generous to photographs, stitched panoramas
// included, and hostile to anything that only looks like one.
func DefaultLimits() Limits {
	return Limits{
		MaxFileBytes:    2 << 30,
		MaxPixels:       400e6,
		MaxSide:         100_000,
		MaxDecodeBytes:  4 << 30,
		MaxProfileBytes: 16 << 20,
		MaxEXIFBytes:    1 << 20,
		MaxTextBytes:    1 << 10,
		MaxIFDEntries:   1024,
		MaxPages:        64,
		MaxSegments:     1 << 20,
		MaxScans:        100,
		MaxBlocks:       1 << 22,
	}
}

// checkSize refuses a picture of w x h pixels that needs bytesPerPixel bytes a
// pixel while it is decoded. It must be asked before anything is allocated.
func (l Limits) checkSize(w, h int, bytesPerPixel float64) error {
	if w <= 0 || h <= 0 {
		return damaged("says that it has no pixels", nil)
	}
	if w > l.MaxSide || h > l.MaxSide || int64(w) > l.MaxPixels/int64(h) {
		return &Error{Kind: TooLarge,
			Fault: fmt.Sprintf("says that it is %d x %d pixels, more than the %d million (or %d a side) that are read here",
				w, h, l.MaxPixels/1e6, l.MaxSide),
			Remedy: "export it smaller"}
	}
	if need := float64(w) * float64(h) * bytesPerPixel; need > float64(l.MaxDecodeBytes) {
		return &Error{Kind: TooLarge,
			Fault: fmt.Sprintf("would need %.1f GiB of memory to decode its %d x %d pixels, more than the %.1f GiB allowed",
				need/(1<<30), w, h, float64(l.MaxDecodeBytes)/(1<<30)),
			Remedy: "export it as a TIFF, or smaller"}
	}
	return nil
}
