package photo

import (
	"bytes"
	"errors"
	"fmt"
	"time"
)

// Tags of TIFF 6.0 and CIPA DC-008 (EXIF 2.32) that are read, by directory.
const (
	tagMake        = 0x010f // IFD0
	tagModel       = 0x0110
	tagOrientation = 0x0112
	tagArtist      = 0x013b
	tagCopyright   = 0x8298
	tagEXIF        = 0x8769 // IFD0: points to the EXIF directory

	tagTransferFunction = 0x012d // IFD0
	tagWhitePoint       = 0x013e
	tagPrimaries        = 0x013f // PrimaryChromaticities

	tagISO              = 0x8827 // EXIF
	tagDateTimeOriginal = 0x9003
	tagColourSpace      = 0xa001
	tagGamma            = 0xa500
	tagLensModel        = 0xa434
	tagInterop          = 0xa005 // EXIF: points to the interoperability directory

	tagInteropIndex = 0x0001 // interoperability
)

// exifHead stands before EXIF in a JPEG's APP1 segment.
const exifHead = "Exif\x00\x00"

// exifTime is how EXIF writes a time.
const exifTime = "2006:01:02 15:04:05"

// readEXIF reads the EXIF of a JPEG or PNG, which is a small TIFF. With an error, in has
// what could be read.
func (in *Info) readEXIF(block []byte, lim Limits) error {
	block = bytes.TrimPrefix(block, []byte(exifHead))
	if len(block) > lim.MaxEXIFBytes {
		return errors.New("EXIF is too long")
	}
	t, first, err := openTIFF(bytes.NewReader(block), int64(len(block)), lim)
	if err != nil {
		return err
	}
	d, err := t.directory(first)
	if err != nil {
		return err
	}
	return in.readEXIFFrom(d, lim)
}

// readEXIFFrom reads IFD0 and the directories it points to. If one tag cannot be read, the
// others still are: without the orientation the picture would print on its side.
func (in *Info) readEXIFFrom(ifd0 *directory, lim Limits) error {
	r := exifReader{max: lim.MaxTextBytes}
	x := &in.EXIF
	x.Make = r.text(ifd0, tagMake)
	x.Camera = r.text(ifd0, tagModel)
	x.Artist = r.text(ifd0, tagArtist)
	x.Copyright = r.text(ifd0, tagCopyright)
	switch o := r.number(ifd0, tagOrientation); {
	case o >= 1 && o <= 8:
		in.Orientation = o
	case o != 0: // some programs write 0 for unknown
		r.note(fmt.Errorf("its orientation is %d, which must be 1 to 8", o))
	}
	x.numbers.white = r.rationals(ifd0, tagWhitePoint, 2)
	x.numbers.primaries = r.rationals(ifd0, tagPrimaries, 6)
	x.numbers.curve = ifd0.has(tagTransferFunction)
	if exif := r.follow(ifd0, tagEXIF); exif != nil {
		x.numbers.gamma = r.rationals(exif, tagGamma, 1)
		x.Lens = r.text(exif, tagLensModel)
		x.ISO = r.number(exif, tagISO)
		x.ColourSpace = r.number(exif, tagColourSpace)
		x.DateTimeOriginal = r.time(exif, tagDateTimeOriginal)
		if x.Make == "" && x.Camera == "" { // some telephones misplace them
			x.Make, x.Camera = r.text(exif, tagMake), r.text(exif, tagModel)
		}
		if interop := r.follow(exif, tagInterop); interop != nil {
			x.InteropIndex = r.text(interop, tagInteropIndex)
		}
	}
	if r.cut {
		in.cautionLong("A text of the EXIF", lim)
	}
	return r.err
}

// exifReader reads tags and keeps the first error.
type exifReader struct {
	max int
	cut bool // a text was longer
	err error
}

func (r *exifReader) note(err error) {
	if r.err == nil {
		r.err = err
	}
}

func (r *exifReader) text(d *directory, tag uint16) string {
	raw, err := d.bytes(tag, 4*r.max) // more than max, because blanks and control characters are removed
	r.note(err)
	text, cut := cutText(raw, r.max)
	r.cut = r.cut || cut
	return text
}

func (r *exifReader) number(d *directory, tag uint16) int {
	v, err := d.uint(tag, 0)
	r.note(err)
	return int(v)
}

func (r *exifReader) rationals(d *directory, tag uint16, n int) []float64 {
	v, err := d.rationals(tag, n)
	r.note(err)
	return v
}

func (r *exifReader) time(d *directory, tag uint16) string {
	text := r.text(d, tag)
	if _, err := time.Parse(exifTime, text); err != nil {
		return "" // a camera whose clock was never set writes blanks or zeros
	}
	return text
}

func (r *exifReader) follow(d *directory, tag uint16) *directory {
	if !d.has(tag) {
		return nil
	}
	at, err := d.uint(tag, 0)
	if err != nil {
		r.note(err)
		return nil
	}
	sub, err := d.directory(int64(at))
	r.note(err)
	return sub
}

// setEXIF cautions if reading EXIF failed. The picture is used all the same.
func (in *Info) setEXIF(err error) {
	if err == nil {
		return
	}
	in.caution(CautionEXIF, "Some of the EXIF could not be read"+inOurWords(err)+
		". Camera, date or orientation may be missing, so check that the picture stands upright.")
}

// Values of EXIF's ColorSpace. EXIF defines 1 and 65535. Some cameras write 2 for Adobe
// RGB (1998).
const (
	ColourSpaceSRGB         = 1
	ColourSpaceA98          = 2
	ColourSpaceUncalibrated = 65535
)

// exifNumbers are the tags that state colours in numbers, nil if absent.
type exifNumbers struct {
	white, primaries, gamma []float64
	curve                   bool // there is a TransferFunction
}

// coloursFromEXIF reads the colours that EXIF, or a TIFF's own tags, state: a colour space
// by name, or else its numbers. A PNG's own chunks count before them.
func (in *Info) coloursFromEXIF() {
	x := in.EXIF
	switch {
	case x.ColourSpace == ColourSpaceSRGB:
		in.ColourHint = HintSRGB
	case x.ColourSpace == ColourSpaceA98,
		x.InteropIndex == "R03" && (x.ColourSpace == ColourSpaceUncalibrated || x.ColourSpace == 0):
		in.ColourHint = HintA98
	}
	n, s := x.numbers, &in.Stated
	in.EXIF.numbers = exifNumbers{}
	if in.Profile != nil || s.CICP != nil || s.SRGB || s.From != "" {
		return
	}
	from, by := FromEXIF, "its EXIF"
	if in.Format == formatTIFF {
		from, by = FromTIFF, "its TIFF tags"
	}
	if n.curve {
		in.cautionColours("The picture has a tone curve of its own (TransferFunction, in %s), which is not read here, so its tones may print wrong.", by)
	}
	switch {
	case in.ColourHint != "":
	case (n.white == nil) != (n.primaries == nil):
		in.cautionColours("Of WhitePoint and PrimaryChromaticities the picture has only one, in %s; it was left out.", by)
	case n.white != nil:
		w, p := n.white, n.primaries
		s.Primaries = &Primaries{White: [2]float64(w), Red: [2]float64(p), Green: [2]float64(p[2:]), Blue: [2]float64(p[4:])}
		s.From = from
	}
	switch {
	case in.ColourHint != "" || n.gamma == nil:
	case n.gamma[0] == 0:
		in.cautionColours("The picture's Gamma, in %s, is 0, which is not a gamma; it was left out.", by)
	default:
		s.Gamma, s.From = n.gamma[0], from
	}
}
