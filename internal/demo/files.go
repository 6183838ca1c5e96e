package demo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"slices"

	"sizewright/internal/tiff"
)

// A shot is what a camera writes about a picture: the tags of EXIF 2.32 (CIPA DC-008-2019) that a print room
// reads. Texts are ASCII.
type shot struct {
	maker, model, lens string
	title              string
	artist, copyright  string
	taken              string    // "YYYY:MM:DD HH:MM:SS", local time
	exposure           [2]uint32 // seconds, as a fraction
	fNumber, focal     [2]uint32 // focal in millimetres
	focal35            uint16    // the focal length that sees as much on 36x24 mm, millimetres
	iso                uint16
	orientation        uint16 // 1 to 8
	grey               bool   // one channel
	wideGamut          bool   // not sRGB: only the ICC profile says what the values are
	width, height      uint32 // pixels as stored
}

// The types of TIFF 6.0, section 2, that EXIF uses here.
const (
	typeASCII     = 2
	typeShort     = 3
	typeLong      = 4
	typeRational  = 5
	typeUndefined = 7
	typeSRational = 10
)

// tag is one entry of a directory; long values go behind it.
type tag struct {
	id, kind uint16
	count    uint32
	value    []byte
}

func ascii(id uint16, s string) tag {
	return tag{id, typeASCII, uint32(len(s) + 1), append([]byte(s), 0)}
}

func short(id, v uint16) tag {
	return tag{id, typeShort, 1, binary.LittleEndian.AppendUint16(nil, v)}
}

func long(id uint16, v uint32) tag {
	return tag{id, typeLong, 1, binary.LittleEndian.AppendUint32(nil, v)}
}

func rational(id uint16, v [2]uint32) tag {
	b := binary.LittleEndian.AppendUint32(nil, v[0])
	return tag{id, typeRational, 1, binary.LittleEndian.AppendUint32(b, v[1])}
}

func undefined(id uint16, v string) tag {
	return tag{id, typeUndefined, uint32(len(v)), []byte(v)}
}

// exif returns the TIFF structure of the shot, as it follows "Exif\0\0" in a JPEG and fills a PNG's eXIf chunk.
func (s shot) exif() []byte {
	main, detail, interop := s.mainTags(), s.detailTags(), s.interopTags()
	const header = 8
	// A directory's size depends on its tags alone, so where the next begins is known before its pointer.
	detailAt := header + directorySize(main)
	interopAt := detailAt + directorySize(detail)
	setPointer(main, tagExifIFD, detailAt)
	setPointer(detail, tagInteropIFD, interopAt)

	out := append([]byte("II*\x00"), binary.LittleEndian.AppendUint32(nil, header)...)
	out = appendDirectory(out, main)
	out = appendDirectory(out, detail)
	return appendDirectory(out, interop)
}

const (
	tagExifIFD    = 0x8769
	tagInteropIFD = 0xA005
)

func (s shot) mainTags() []tag {
	return sorted([]tag{
		ascii(0x010E, s.title), ascii(0x010F, s.maker), ascii(0x0110, s.model),
		short(0x0112, s.orientation),
		rational(0x011A, [2]uint32{300, 1}), rational(0x011B, [2]uint32{300, 1}), short(0x0128, 2), // inches
		ascii(0x0132, s.taken), ascii(0x013B, s.artist), ascii(0x8298, s.copyright),
		short(0x0213, 1), // chroma centred, as image/jpeg places it
		long(tagExifIFD, 0),
	})
}

func (s shot) detailTags() []tag {
	components, space := "\x01\x02\x03\x00", uint16(1) // Y, Cb, Cr; sRGB
	if s.grey {
		components = "\x01\x00\x00\x00"
	}
	if s.wideGamut {
		space = 0xFFFF // "uncalibrated"
	}
	return sorted([]tag{
		rational(0x829A, s.exposure), rational(0x829D, s.fNumber), short(0x8827, s.iso),
		undefined(0x9000, "0232"), ascii(0x9003, s.taken), ascii(0x9004, s.taken), undefined(0x9101, components),
		{0x9204, typeSRational, 1, []byte{0, 0, 0, 0, 1, 0, 0, 0}}, // no exposure bias
		short(0x9207, 5), short(0x9209, 16), // pattern metering; flash off
		rational(0x920A, s.focal), undefined(0xA000, "0100"),
		short(0xA001, space), long(0xA002, s.width), long(0xA003, s.height),
		long(tagInteropIFD, 0), short(0xA405, s.focal35), ascii(0xA434, s.lens),
	})
}

// interopTags names the DCF rule the file keeps: R98 for sRGB, R03 for the optional wide-gamut space.
func (s shot) interopTags() []tag {
	rule := "R98"
	if s.wideGamut {
		rule = "R03"
	}
	return []tag{ascii(0x0001, rule), undefined(0x0002, "0100")}
}

// sorted puts tags in rising order, which TIFF demands.
func sorted(tags []tag) []tag {
	slices.SortFunc(tags, func(a, b tag) int { return int(a.id) - int(b.id) })
	return tags
}

func setPointer(tags []tag, id uint16, at int) {
	for _, t := range tags {
		if t.id == id {
			binary.LittleEndian.PutUint32(t.value, uint32(at))
		}
	}
}

// directorySize returns the bytes of a directory with its long values, each begun on an even offset.
func directorySize(tags []tag) int {
	n := 2 + 12*len(tags) + 4
	for _, t := range tags {
		if len(t.value) > 4 {
			n += len(t.value) + len(t.value)%2
		}
	}
	return n
}

func appendDirectory(out []byte, tags []tag) []byte {
	behind := len(out) + 2 + 12*len(tags) + 4
	var values []byte
	out = binary.LittleEndian.AppendUint16(out, uint16(len(tags)))
	for _, t := range tags {
		out = binary.LittleEndian.AppendUint16(out, t.id)
		out = binary.LittleEndian.AppendUint16(out, t.kind)
		out = binary.LittleEndian.AppendUint32(out, t.count)
		if len(t.value) <= 4 {
			out = append(append(out, t.value...), make([]byte, 4-len(t.value))...)
			continue
		}
		out = binary.LittleEndian.AppendUint32(out, uint32(behind+len(values)))
		values = append(append(values, t.value...), make([]byte, len(t.value)%2)...)
	}
	out = binary.LittleEndian.AppendUint32(out, 0) // no further directory
	return append(out, values...)
}

// writeJPEG writes a JPEG of the given quality as a camera does: the start marker, EXIF in APP1, the profile
// in APP2, then the picture. An empty profile is left out.
func writeJPEG(w io.Writer, img image.Image, quality int, exif, profile []byte) error {
	head := []byte{0xFF, 0xD8}
	head = appendSegment(head, 0xE1, append([]byte("Exif\x00\x00"), exif...))
	if _, err := w.Write(appendProfile(head, profile)); err != nil {
		return err
	}
	return jpeg.Encode(&dropFirst{w, 2}, img, &jpeg.Options{Quality: quality})
}

// appendSegment adds a marker segment; its length counts itself but not the marker (ITU-T T.81, B.1.1.4).
func appendSegment(out []byte, marker byte, body []byte) []byte {
	out = append(out, 0xFF, marker)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	return append(out, body...)
}

// profileShare is the most of a profile one segment carries: 65,535 less its length and 14 bytes of heading.
const profileShare = 65535 - 2 - 14

// appendProfile cuts a profile into APP2 segments, numbered from 1 (ICC.1:2022, annex B.4).
func appendProfile(out, profile []byte) []byte {
	total := (len(profile) + profileShare - 1) / profileShare
	for i := range total {
		share := profile[i*profileShare : min((i+1)*profileShare, len(profile))]
		heading := append([]byte("ICC_PROFILE\x00"), byte(i+1), byte(total))
		out = appendSegment(out, 0xE2, append(heading, share...))
	}
	return out
}

// dropFirst passes on all but the first n bytes: the encoder's own start marker.
type dropFirst struct {
	io.Writer
	n int
}

func (d *dropFirst) Write(p []byte) (int, error) {
	k := min(d.n, len(p))
	d.n -= k
	n, err := d.Writer.Write(p[k:])
	return n + k, err
}

// headerEnd is where a PNG's header chunk ends: 8 bytes of signature, then IHDR's length, name, 13 bytes and
// check sum.
const headerEnd = 8 + 4 + 4 + 13 + 4

// writePNG writes a PNG with the profile and EXIF between its header and its pixels, where PNG (third edition,
// section 5.6) wants them.
func writePNG(w io.Writer, img image.Image, exif, profile []byte) error {
	extra, err := pngExtra(exif, profile)
	if err != nil {
		return err
	}
	// The pixels' noise cannot be shrunk; trying harder only takes longer.
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	return encoder.Encode(&insertAt{w, headerEnd, extra}, img)
}

func pngExtra(exif, profile []byte) ([]byte, error) {
	packed := bytes.NewBufferString("ICC profile\x00\x00") // its name, and method 0: zlib
	z := zlib.NewWriter(packed)
	if _, err := z.Write(profile); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	density := binary.BigEndian.AppendUint32(nil, 11811) // pixels a metre: 300 ppi
	density = append(binary.BigEndian.AppendUint32(density, 11811), 1)
	out := appendChunk(nil, "iCCP", packed.Bytes())
	out = appendChunk(out, "pHYs", density)
	return appendChunk(out, "eXIf", exif), nil
}

func appendChunk(out []byte, name string, body []byte) []byte {
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
	named := append([]byte(name), body...)
	out = append(out, named...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(named))
}

// insertAt writes extra once, after the first n bytes.
type insertAt struct {
	io.Writer
	n     int
	extra []byte
}

func (i *insertAt) Write(p []byte) (int, error) {
	k := min(i.n, len(p))
	if _, err := i.Writer.Write(p[:k]); err != nil {
		return 0, err
	}
	if i.n -= k; i.n == 0 && i.extra != nil {
		if _, err := i.Writer.Write(i.extra); err != nil {
			return k, err
		}
		i.extra = nil
	}
	n, err := i.Writer.Write(p[k:])
	return k + n, err
}

// writeTIFF writes a 16-bit picture as a TIFF with horizontal differences and deflate.
func writeTIFF(w io.WriteSeeker, img *image.RGBA64, s shot, profile []byte) error {
	h := tiff.Header{
		Width: img.Rect.Dx(), Height: img.Rect.Dy(), Bits: 16, Photometric: tiff.RGB,
		RowsPerStrip: 64, Compression: tiff.Deflate, PPI: tiff.RationalPPI(300), Profile: profile,
		Make: s.maker, Model: s.model, Artist: s.artist, Copyright: s.copyright, Description: s.title,
		DateTime: s.taken, DateTimeOriginal: s.taken,
	}
	out, err := tiff.NewWriter(w, h)
	if err != nil {
		return err
	}
	encoder := h.NewEncoder()
	var samples []uint16
	var strip []byte
	for i := range h.Strips() {
		samples = appendSamples(samples[:0], img, i*h.RowsPerStrip, h.StripRows(i))
		if strip, err = encoder.Strip16(strip[:0], samples, h.StripRows(i)); err != nil {
			return err
		}
		if err := out.WriteStrip(strip); err != nil {
			return err
		}
	}
	return out.Close()
}

// appendSamples adds rows of the picture, red, green, blue by turns.
func appendSamples(to []uint16, img *image.RGBA64, first, rows int) []uint16 {
	for y := first; y < first+rows; y++ {
		row := img.Pix[y*img.Stride : y*img.Stride+8*img.Rect.Dx()]
		for i := 0; i < len(row); i += 8 {
			to = append(to, be16(row[i:]), be16(row[i+2:]), be16(row[i+4:]))
		}
	}
	return to
}

func be16(b []byte) uint16 { return uint16(b[0])<<8 | uint16(b[1]) }
