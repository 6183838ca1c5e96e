package demo

import (
	"encoding/binary"
	"slices"
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

// directorySize is the bytes of a directory with its long values, each begun on an even offset.
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
