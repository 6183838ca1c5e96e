package tiff

import (
	"errors"
	"fmt"
	"time"

	"sizewright/internal/remedy"
)

const (
	// maxSidePX limits a picture's sides so that no size computed from them overflows.
	// It is far above any print (1.18 km at 360 ppi).
	maxSidePX = 1 << 24
	// maxStripBytes limits a strip before compression. Readers hold a whole strip; TIFF
	// 6.0 recommends 8 KiB, today's practice is up to some MiB.
	maxStripBytes = 1 << 30
	// headerBytes is reserved at the start: the size of BigTIFF's header.
	headerBytes = 16
)

// Header holds everything in a print file besides its pixels. Texts are UTF-8 and are
// written as UTF-8: TIFF specifies ASCII, but readers accept UTF-8. Control characters
// in them are removed (line ends and tabs become spaces), as are spaces around them. An
// empty text writes no tag.
type Header struct {
	Width, Height int         // pixels, 1 to 16,777,216
	Bits          int         // bits per sample: 8 or 16
	Photometric   Photometric // also gives the number of samples per pixel
	RowsPerStrip  int         // rows of every strip except the last; at least 1; a value above Height means Height
	Compression   Compression
	PPI           Rational // pixels per inch of the print, in both directions; see [RationalPPI]
	Profile       []byte   // ICC profile, embedded unchanged; none if empty. Do not modify it while in use

	Make, Model      string // the camera's
	Artist           string
	Copyright        string
	Software         string
	Description      string
	XMP              []byte // an XMP packet, written unchanged; none if empty
	DateTime         string // when the file was made, "YYYY:MM:DD HH:MM:SS", or empty
	DateTimeOriginal string // when the picture was taken, the same form, in an EXIF directory
}

// Validate returns what is wrong with h, or nil. [NewWriter] and the methods of
// [Encoder] return the same error; call Validate to fail early.
func (h Header) Validate() error {
	switch {
	case h.Width < 1 || h.Width > maxSidePX || h.Height < 1 || h.Height > maxSidePX:
		return fmt.Errorf("a TIFF of %d x %d pixels cannot be written; each side must be from 1 to %d", h.Width, h.Height, maxSidePX)
	case h.Bits != 8 && h.Bits != 16:
		return remedy.Errorf("choose 8 or 16", "a TIFF of %d bits per sample cannot be written", h.Bits)
	case h.Photometric.Samples() == 0:
		return remedy.Errorf("choose Grey, RGB or CMYK", "photometric value %v is not known", h.Photometric)
	case h.Compression < None || h.Compression > LZW:
		return remedy.Errorf("choose None, Deflate or LZW", "compression value %v is not known", h.Compression)
	case h.RowsPerStrip < 1:
		return remedy.Errorf("give at least 1", "a TIFF with %d rows per strip cannot be written", h.RowsPerStrip)
	case h.stripBytes(0) > maxStripBytes:
		return fmt.Errorf("%d rows of %d pixels make a strip of %d bytes; give fewer rows per strip, for at most %d bytes",
			h.StripRows(0), h.Width, h.stripBytes(0), maxStripBytes)
	case h.PPI.Num == 0 || h.PPI.Den == 0:
		return remedy.Errorf("give a positive one, such as 360/1", "resolution %v is not a number of pixels per inch", h.PPI)
	}
	return errors.Join(
		validProfile(h.Profile, h.Photometric),
		validDateTime("DateTime", h.DateTime),
		validDateTime("DateTimeOriginal", h.DateTimeOriginal),
	)
}

// validProfile rejects a profile that readers would ignore, or that would make them
// misread the colours. Fields: ICC.1:2022 table 17 (profile header).
func validProfile(profile []byte, p Photometric) error {
	if len(profile) == 0 {
		return nil
	}
	if len(profile) < 128 || string(profile[36:40]) != "acsp" {
		return remedy.Errorf("give a complete one, or none", "the profile to embed (%d bytes) is not an ICC profile", len(profile))
	}
	want := map[Photometric]string{Grey: "GRAY", RGB: "RGB ", CMYK: "CMYK"}[p]
	if space := string(profile[16:20]); space != want {
		return remedy.Errorf("convert them, or give their own profile", "the profile to embed is for %q but the pixels are %v", space, p)
	}
	return nil
}

// dateTimeLayout is the date format of TIFF 6.0 (tag DateTime) and EXIF.
const dateTimeLayout = "2006:01:02 15:04:05"

// validDateTime accepts "" and "YYYY:MM:DD HH:MM:SS" with a real day and time. Cameras
// also write blanks and zeros; leave those out.
func validDateTime(field, s string) error {
	if _, err := time.Parse(dateTimeLayout, s); s == "" || err == nil && len(s) == len(dateTimeLayout) {
		return nil
	}
	return fmt.Errorf("%s %q is not a date; write it as %q, or leave it empty", field, s, "YYYY:MM:DD HH:MM:SS")
}

// Strips returns the number of strips. The last strip has the remaining rows. h must be
// valid.
func (h Header) Strips() int {
	return (h.Height + h.RowsPerStrip - 1) / h.RowsPerStrip
}

// StripRows returns the number of rows in strip i, 0 to Strips()-1. h must be valid.
func (h Header) StripRows(i int) int {
	return min(h.RowsPerStrip, h.Height-i*h.RowsPerStrip)
}

// rowSamples returns the number of samples in a row of pixels.
func (h Header) rowSamples() int { return h.Width * h.Photometric.Samples() }

// rowBytes returns the size of a row before compression.
func (h Header) rowBytes() int { return h.rowSamples() * h.Bits / 8 }

// stripBytes returns the size of strip i before compression.
func (h Header) stripBytes(i int) int64 { return int64(h.StripRows(i)) * int64(h.rowBytes()) }

// MaxBytes returns an upper bound for the size of the file in bytes. It is meant for
// reserving disk space, not as an estimate: it assumes the worst pixels for the
// compression (noise, which deflate cannot shrink and LZW makes half as large again)
// and BigTIFF's directory. h must be valid.
func (h Header) MaxBytes() int64 {
	const padding = 1        // strips start at even offsets
	const tableEntry = 2 * 8 // offset and size, 64 bits each in BigTIFF
	strips := int64(h.Strips())
	full := h.Compression.maxBytes(h.stripBytes(0)) + padding + tableEntry
	last := h.Compression.maxBytes(h.stripBytes(h.Strips()-1)) + padding + tableEntry
	tail, _ := h.tail(headerBytes, true, nil, nil)
	return headerBytes + (strips-1)*full + last + int64(len(tail))
}
