package photo

import (
	"bytes"
	"errors"
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

	tagISO              = 0x8827 // EXIF
	tagDateTimeOriginal = 0x9003
	tagColourSpace      = 0xa001
	tagLensModel        = 0xa434
	tagInterop          = 0xa005 // EXIF: points to the interoperability directory

	tagInteropIndex = 0x0001 // interoperability
)

// exifHead stands before EXIF in a JPEG's APP1 segment.
const exifHead = "Exif\x00\x00"

// exifTime is how EXIF writes a time.
const exifTime = "2006:01:02 15:04:05"

// readEXIF reads EXIF as it lies in a JPEG or PNG: a small TIFF. Whatever can
// be read is returned, also beside an error.
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

// readEXIFFrom reads what is wanted from IFD0 and the directories it points to.
// One unreadable tag does not cost the others: losing the orientation would
// print the picture on its side.
func (in *Info) readEXIFFrom(ifd0 *directory, lim Limits) error {
	r := exifReader{max: lim.MaxTextBytes}
	x := &in.EXIF
	x.Make = r.text(ifd0, tagMake)
	x.Camera = r.text(ifd0, tagModel)
	x.Artist = r.text(ifd0, tagArtist)
	x.Copyright = r.text(ifd0, tagCopyright)
	if o := r.number(ifd0, tagOrientation); o >= 1 && o <= 8 {
		in.Orientation = o
	}
	if exif := r.follow(ifd0, tagEXIF); exif != nil {
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
	return r.err
}

// exifReader reads tags and remembers the first that could not be read.
type exifReader struct {
	max int
	err error
}

func (r *exifReader) note(err error) {
	if r.err == nil {
		r.err = err
	}
}

func (r *exifReader) text(d *directory, tag uint16) string {
	raw, err := d.bytes(tag, 4*r.max) // longer than max: blanks and control characters go
	r.note(err)
	return cleanText(raw, r.max)
}

func (r *exifReader) number(d *directory, tag uint16) int {
	v, err := d.uint(tag, 0)
	r.note(err)
	return int(v)
}

func (r *exifReader) time(d *directory, tag uint16) string {
	text := r.text(d, tag)
	if _, err := time.Parse(exifTime, text); err != nil {
		return "" // cameras whose clock was never set write blanks or zeros
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

// setEXIF takes the result of reading EXIF: the picture is used all the same.
func (in *Info) setEXIF(err error) {
	if err == nil {
		return
	}
	in.caution(CautionEXIF, "Some of the EXIF could not be read ("+err.Error()+
		"); camera, date or the way up may be missing, so check that the picture stands upright.")
}

// hintFromEXIF fills the colour hint where the format itself gave none.
func (in *Info) hintFromEXIF() {
	const uncalibrated = 65535
	switch {
	case in.ColourHint != "":
	case in.EXIF.ColourSpace == 1:
		in.ColourHint = HintSRGB
	case in.EXIF.ColourSpace == uncalibrated && in.EXIF.InteropIndex == "R03":
		in.ColourHint = HintA98
	}
}
