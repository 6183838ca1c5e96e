package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"slices"
)

// The TIFF 6.0 directory ("IFD") has two uses: the header of a TIFF, and EXIF, which is
// a TIFF directory inside another file. A BigTIFF is the same with 64-bit places and counts. Values are read only when the caller asks, and
// only as many as it asks for. Only the caller follows links. So a hostile directory
// cannot make this package loop or allocate by its counts.

// Field types of TIFF 6.0, section 2.
const (
	typeByte      = 1
	typeASCII     = 2
	typeShort     = 3
	typeLong      = 4
	typeRational  = 5
	typeUndefined = 7
	typeIFD       = 13  // TIFF Technical Note 1: a LONG that points to a directory
	typeLong8     = 16  // BigTIFF
	typeIFD8      = 18  // BigTIFF
	typeUTF8      = 129 // EXIF 3.0
)

// typeSize is the bytes of one value of a type, 0 for unknown types.
func typeSize(typ uint16) int64 {
	const signedByte, signedShort, signedLong, signedRational, float, double, signedLong8 = 6, 8, 9, 10, 11, 12, 17
	switch typ {
	case typeByte, typeASCII, typeUndefined, typeUTF8, signedByte:
		return 1
	case typeShort, signedShort:
		return 2
	case typeLong, typeIFD, signedLong, float:
		return 4
	case typeRational, signedRational, double, typeLong8, signedLong8, typeIFD8:
		return 8
	}
	return 0
}

var errDirectory = errors.New("a directory or value lies outside the file")

// tiffBytes is a TIFF structure: a whole file, or an EXIF block.
type tiffBytes struct {
	r          io.ReaderAt
	size       int64
	order      binary.ByteOrder
	big        bool // a BigTIFF
	maxEntries int
	unread     *int // directories that may still be read
}

// directory is one IFD: its entries by tag, and the offset of the next (0: none).
type directory struct {
	tiffBytes
	entries map[uint16]entry
	twice   bool // a tag comes twice with different values
	mixed   bool // the tags are not in ascending order, which TIFF 6.0, section 2, requires
	next    int64

	at, end int64 // where it lies
}

type entry struct {
	typ   uint16
	count uint64
	at    int64 // where the value starts
}

// size is the bytes of the value. One that is longer than any file is the longest there is.
func (e entry) size() int64 {
	const most = 1 << 56
	return int64(min(e.count, most)) * typeSize(e.typ)
}

// openTIFF reads the header and returns the offset of the first directory.
func openTIFF(r io.ReaderAt, size int64, lim Limits) (t tiffBytes, first int64, err error) {
	unread := lim.MaxDirectories
	t = tiffBytes{r: r, size: size, maxEntries: lim.MaxIFDEntries, unread: &unread}
	head, err := t.bytesAt(0, 8)
	if err != nil {
		return t, 0, err
	}
	switch string(head[:4]) {
	case "II*\x00":
		t.order = binary.LittleEndian
	case "MM\x00*":
		t.order = binary.BigEndian
	case "II+\x00":
		t.order, t.big = binary.LittleEndian, true
	case "MM\x00+":
		t.order, t.big = binary.BigEndian, true
	default:
		return t, 0, errors.New("not a TIFF header")
	}
	if !t.big {
		return t, int64(t.order.Uint32(head[4:])), nil
	}
	if t.order.Uint16(head[4:]) != 8 || t.order.Uint16(head[6:]) != 0 {
		return t, 0, errors.New("its offsets are not of 8 bytes")
	}
	link, err := t.bytesAt(8, 8)
	if err != nil {
		return t, 0, err
	}
	return t, t.place(link), nil
}

// word is the bytes of a place or a count, and of a value that lies in its entry.
func (t tiffBytes) word() int64 {
	if t.big {
		return 8
	}
	return 4
}

// place reads a place or a count. One beyond every file is cut, so that sums fit.
func (t tiffBytes) place(b []byte) int64 {
	if !t.big {
		return int64(t.order.Uint32(b))
	}
	return int64(min(beyond, t.order.Uint64(b)))
}

// beyond is a place beyond the end of every file.
const beyond = 1 << 60

// bytesAt reads n bytes after checking that they lie in the file.
func (t tiffBytes) bytesAt(at, n int64) ([]byte, error) {
	if at < 0 || n < 0 || at > t.size-n {
		return nil, errDirectory
	}
	b := make([]byte, n)
	if _, err := t.r.ReadAt(b, at); err != nil && !(err == io.EOF && n == 0) {
		if err == io.EOF {
			err = errDirectory
		}
		return nil, err
	}
	return b, nil
}

// directory reads the IFD at an offset. Of several entries with the same tag the first
// counts. If the link to the next directory is missing, there is none.
func (t tiffBytes) directory(at int64) (*directory, error) {
	if *t.unread--; *t.unread < 0 {
		return nil, errors.New("it has too many directories")
	}
	headLength := int64(2)
	if t.big {
		headLength = 8
	}
	head, err := t.bytesAt(at, headLength)
	if err != nil {
		return nil, err
	}
	entryBytes := 4 + 2*t.word()
	n := int64(t.order.Uint16(head))
	if t.big {
		n = t.place(head)
	}
	if n < 0 || n > int64(t.maxEntries) {
		return nil, errors.New("a directory has too many entries")
	}
	first := at + headLength
	table, err := t.bytesAt(first, n*entryBytes)
	if err != nil {
		return nil, err
	}
	d := &directory{tiffBytes: t, entries: make(map[uint16]entry, n), at: at, end: first + n*entryBytes}
	last := uint16(0)
	for i := int64(0); i < n; i++ {
		tag, e := t.entry(table[i*entryBytes:][:entryBytes], first+i*entryBytes)
		d.mixed, last = d.mixed || tag < last, tag
		before, seen := d.entries[tag]
		if !seen {
			d.entries[tag] = e
			before = e
		}
		d.twice = d.twice || !t.alike(before, e)
	}
	if link, err := t.bytesAt(d.end, t.word()); err == nil {
		d.next = t.place(link)
	}
	return d, nil
}

// alike reports whether two entries of a tag say the same: the same values, or the
// same place.
func (t tiffBytes) alike(a, b entry) bool {
	if a.typ != b.typ || a.count != b.count {
		return false
	}
	if a.at == b.at {
		return true
	}
	if typeSize(a.typ) == 0 || a.size() > t.word() {
		return false
	}
	one, err := t.bytesAt(a.at, a.size())
	other, err2 := t.bytesAt(b.at, b.size())
	return err == nil && err2 == nil && bytes.Equal(one, other)
}

// entry parses the entry raw, which lies at an offset. A value of up to four bytes (eight
// of a BigTIFF) lies in the entry itself.
func (t tiffBytes) entry(raw []byte, at int64) (tag uint16, e entry) {
	value := 4 + t.word()
	e = entry{typ: t.order.Uint16(raw[2:]), count: uint64(t.place(raw[4:])), at: at + value}
	if e.size() > t.word() {
		e.at = t.place(raw[value:])
	}
	return t.order.Uint16(raw), e
}

func (d *directory) has(tag uint16) bool {
	_, ok := d.entries[tag]
	return ok
}

var errType = errors.New("a tag has a type that it cannot have")

// raw returns the first values, at most max, of a tag of one of these types, as they are
// in the file. It returns nil if the tag is absent.
func (d *directory) raw(tag uint16, max int, types ...uint16) ([]byte, error) {
	e, ok := d.entries[tag]
	if !ok {
		return nil, nil
	}
	if !slices.Contains(types, e.typ) {
		return nil, errType
	}
	return d.bytesAt(e.at, int64(min(e.count, uint64(max)))*typeSize(e.typ))
}

// uints returns the first values, at most max, of an unsigned integer tag, and
// nil if the tag is absent.
func (d *directory) uints(tag uint16, max int) ([]uint64, error) {
	raw, err := d.raw(tag, max, typeByte, typeShort, typeLong, typeIFD, typeLong8, typeIFD8)
	if raw == nil || err != nil {
		return nil, err
	}
	size := int(typeSize(d.entries[tag].typ))
	values := make([]uint64, len(raw)/size)
	for i := range values {
		switch size {
		case 1:
			values[i] = uint64(raw[i])
		case 2:
			values[i] = uint64(d.order.Uint16(raw[2*i:]))
		case 4:
			values[i] = uint64(d.order.Uint32(raw[4*i:]))
		case 8:
			values[i] = d.order.Uint64(raw[8*i:])
		}
	}
	return values, nil
}

// places is uints as places in the file and lengths. One beyond every file is cut.
func (d *directory) places(tag uint16, max int) ([]int64, error) {
	v, err := d.uints(tag, max)
	places := make([]int64, len(v))
	for i := range v {
		places[i] = int64(min(v[i], beyond))
	}
	return places, err
}

// rationals returns exactly n values of a tag of fractions, and nil if the tag is
// absent.
func (d *directory) rationals(tag uint16, n int) ([]float64, error) {
	const size = 8
	raw, err := d.raw(tag, n, typeRational)
	if raw == nil || err != nil {
		return nil, err
	}
	if d.entries[tag].count != uint64(n) {
		return nil, errType
	}
	values := make([]float64, n)
	for i := range values {
		below := d.order.Uint32(raw[size*i+4:])
		if below == 0 {
			return nil, errors.New("a fraction is divided by 0")
		}
		values[i] = float64(d.order.Uint32(raw[size*i:])) / float64(below)
	}
	return values, nil
}

// uint returns the first value of an unsigned integer tag, or missing if the
// tag is absent or has no value.
func (d *directory) uint(tag uint16, missing uint64) (uint64, error) {
	v, err := d.uints(tag, 1)
	if err != nil || len(v) == 0 {
		return missing, err
	}
	return v[0], nil
}

// bytes returns the first bytes, at most max, of a text or opaque tag, and nil
// if the tag is absent.
func (d *directory) bytes(tag uint16, max int) ([]byte, error) {
	if d.entries[tag].count == 0 {
		return nil, nil
	}
	return d.raw(tag, max, typeByte, typeASCII, typeUndefined, typeUTF8)
}
