package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"slices"
)

// The TIFF 6.0 directory ("IFD") has two uses: the header of a TIFF, and EXIF, which is
// a TIFF directory inside another file. Values are read only when the caller asks, and
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
	typeUTF8      = 129 // EXIF 3.0
)

// typeSize is the bytes of one value of a type, 0 for unknown types.
func typeSize(typ uint16) int64 {
	const signedByte, signedShort, signedLong, signedRational, float, double = 6, 8, 9, 10, 11, 12
	switch typ {
	case typeByte, typeASCII, typeUndefined, typeUTF8, signedByte:
		return 1
	case typeShort, signedShort:
		return 2
	case typeLong, typeIFD, signedLong, float:
		return 4
	case typeRational, signedRational, double:
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
	count uint32
	at    int64 // where the value starts
}

// size is the bytes of the value.
func (e entry) size() int64 { return int64(e.count) * typeSize(e.typ) }

// openTIFF reads the 8-byte header and returns the offset of the first directory.
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
	default:
		return t, 0, errors.New("not a TIFF header")
	}
	return t, int64(t.order.Uint32(head[4:])), nil
}

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
	const entryBytes = 12
	if *t.unread--; *t.unread < 0 {
		return nil, errors.New("it has too many directories")
	}
	head, err := t.bytesAt(at, 2)
	if err != nil {
		return nil, err
	}
	n := int(t.order.Uint16(head))
	if n > t.maxEntries {
		return nil, errors.New("a directory has too many entries")
	}
	table, err := t.bytesAt(at+2, int64(n)*entryBytes)
	if err != nil {
		return nil, err
	}
	d := &directory{tiffBytes: t, entries: make(map[uint16]entry, n), at: at, end: at + 2 + int64(n)*entryBytes}
	last := uint16(0)
	for i := range n {
		tag, e := t.entry(table[i*entryBytes:][:entryBytes], at+2+int64(i)*entryBytes)
		d.mixed, last = d.mixed || tag < last, tag
		first, seen := d.entries[tag]
		if !seen {
			d.entries[tag] = e
			first = e
		}
		d.twice = d.twice || !t.alike(first, e)
	}
	if link, err := t.bytesAt(at+2+int64(n)*entryBytes, 4); err == nil {
		d.next = int64(t.order.Uint32(link))
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
	if typeSize(a.typ) == 0 || a.size() > 4 {
		return false
	}
	one, err := t.bytesAt(a.at, a.size())
	other, err2 := t.bytesAt(b.at, b.size())
	return err == nil && err2 == nil && bytes.Equal(one, other)
}

// entry parses the entry raw, which lies at an offset. A value of up to four bytes lies
// in the entry itself.
func (t tiffBytes) entry(raw []byte, at int64) (tag uint16, e entry) {
	e = entry{typ: t.order.Uint16(raw[2:]), count: t.order.Uint32(raw[4:]), at: at + 8}
	if e.size() > 4 {
		e.at = int64(t.order.Uint32(raw[8:]))
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
	return d.bytesAt(e.at, int64(min(e.count, uint32(max)))*typeSize(e.typ))
}

// uints returns the first values, at most max, of an unsigned integer tag, and
// nil if the tag is absent.
func (d *directory) uints(tag uint16, max int) ([]uint32, error) {
	raw, err := d.raw(tag, max, typeByte, typeShort, typeLong, typeIFD)
	if raw == nil || err != nil {
		return nil, err
	}
	size := int(typeSize(d.entries[tag].typ))
	values := make([]uint32, len(raw)/size)
	for i := range values {
		switch size {
		case 1:
			values[i] = uint32(raw[i])
		case 2:
			values[i] = uint32(d.order.Uint16(raw[2*i:]))
		case 4:
			values[i] = d.order.Uint32(raw[4*i:])
		}
	}
	return values, nil
}

// rationals returns exactly n values of a tag of fractions, and nil if the tag is
// absent.
func (d *directory) rationals(tag uint16, n int) ([]float64, error) {
	const size = 8
	raw, err := d.raw(tag, n, typeRational)
	if raw == nil || err != nil {
		return nil, err
	}
	if d.entries[tag].count != uint32(n) {
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
func (d *directory) uint(tag uint16, missing uint32) (uint32, error) {
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
