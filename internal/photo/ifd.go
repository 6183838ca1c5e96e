package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
)

// The TIFF 6.0 directory ("IFD") is read here once for both its uses: the
// header of a TIFF, and EXIF, which is a TIFF directory inside another file.
// Values are read only when asked for and only as far as asked for, and no link
// is followed except by the caller, so a hostile directory can neither loop nor
// make this package allocate by its counts.

// Field types of TIFF 6.0, section 2, and their sizes in bytes.
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
	twice   bool // a tag comes twice, and not with the same value
	mixed   bool // the tags are not in ascending order, as TIFF 6.0, section 2, asks
	next    int64

	at, end int64 // where it lies
}

type entry struct {
	typ   uint16
	count uint32
	at    int64 // where the value starts
}

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

// bytesAt reads n bytes, having checked that they are there.
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

// directory reads the IFD at an offset. Of entries with the same tag the first
// counts. A missing link to the next directory is taken for none.
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
	size := int64(a.count) * typeSize(a.typ)
	if size > 4 {
		return false
	}
	one, err := t.bytesAt(a.at, size)
	other, err2 := t.bytesAt(b.at, size)
	return err == nil && err2 == nil && bytes.Equal(one, other)
}

// entry parses one entry, raw, that lies at an offset. A value of up to four
// bytes lies in the entry itself.
func (t tiffBytes) entry(raw []byte, at int64) (tag uint16, e entry) {
	e = entry{typ: t.order.Uint16(raw[2:]), count: t.order.Uint32(raw[4:]), at: at + 8}
	if int64(e.count)*typeSize(e.typ) > 4 {
		e.at = int64(t.order.Uint32(raw[8:]))
	}
	return t.order.Uint16(raw), e
}

// typeSize is 8 for types not read here; it only decides whether a value could
// lie in its entry.
func typeSize(typ uint16) int64 {
	switch typ {
	case typeByte, typeASCII, typeUndefined, typeUTF8:
		return 1
	case typeShort:
		return 2
	case typeLong, typeIFD:
		return 4
	}
	return 8
}

func (d *directory) has(tag uint16) bool {
	_, ok := d.entries[tag]
	return ok
}

// uints returns the first values, at most max, of an unsigned integer tag, and
// nil if the tag is absent.
func (d *directory) uints(tag uint16, max int) ([]uint32, error) {
	e, ok := d.entries[tag]
	if !ok {
		return nil, nil
	}
	switch e.typ {
	case typeByte, typeShort, typeLong, typeIFD:
	default:
		return nil, errors.New("a tag has a type that it cannot have")
	}
	n := int64(min(e.count, uint32(max)))
	size := typeSize(e.typ)
	raw, err := d.bytesAt(e.at, n*size)
	if err != nil {
		return nil, err
	}
	values := make([]uint32, n)
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
	e, ok := d.entries[tag]
	if !ok {
		return nil, nil
	}
	if e.typ != typeRational || int64(e.count) != int64(n) {
		return nil, errors.New("a tag has a type that it cannot have")
	}
	raw, err := d.bytesAt(e.at, int64(n)*size)
	if err != nil {
		return nil, err
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
	e, ok := d.entries[tag]
	if !ok || e.count == 0 {
		return nil, nil
	}
	if typeSize(e.typ) != 1 {
		return nil, errors.New("a tag has a type that it cannot have")
	}
	return d.bytesAt(e.at, int64(min(e.count, uint32(max))))
}
