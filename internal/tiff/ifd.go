package tiff

import "encoding/binary"

// le is the byte order of the file.
var le = binary.LittleEndian

// kind is a TIFF field type (TIFF 6.0 section 2; LONG8 and IFD8 are BigTIFF's).
type kind uint16

const (
	kindByte      kind = 1
	kindASCII     kind = 2
	kindShort     kind = 3
	kindLong      kind = 4
	kindRational  kind = 5
	kindUndefined kind = 7
	kindLong8     kind = 16
	kindIFD8      kind = 18
)

// field is one tag of a directory: count values of a kind, as bytes.
type field struct {
	tag   uint16
	kind  kind
	count int
	value []byte
}

func shorts(tag uint16, v ...uint16) field {
	var b []byte
	for _, x := range v {
		b = le.AppendUint16(b, x)
	}
	return field{tag, kindShort, len(v), b}
}

func long(tag uint16, v int) field {
	return field{tag, kindLong, 1, le.AppendUint32(nil, uint32(v))}
}

func rational(tag uint16, r Rational) field {
	return field{tag, kindRational, 1, le.AppendUint32(le.AppendUint32(nil, r.Num), r.Den)}
}

func undefined(tag uint16, b []byte) field { return field{tag, kindUndefined, len(b), b} }

// texts returns a field for s, or none if nothing of s is left after cleaning.
func texts(tag uint16, s string) []field {
	s = cleanText(s)
	if s == "" {
		return nil
	}
	return []field{{tag, kindASCII, len(s) + 1, append([]byte(s), 0)}}
}

// longs returns a field of offsets or sizes: LONG, or LONG8 in a BigTIFF.
func longs(tag uint16, big bool, v []int64) field {
	if big {
		b := make([]byte, 0, 8*len(v))
		for _, x := range v {
			b = le.AppendUint64(b, uint64(x))
		}
		return field{tag, kindLong8, len(v), b}
	}
	b := make([]byte, 0, 4*len(v))
	for _, x := range v {
		b = le.AppendUint32(b, uint32(x))
	}
	return field{tag, kindLong, len(v), b}
}

// pointer returns a field with the offset of another directory.
func pointer(tag uint16, big bool, offset int64) field {
	f := longs(tag, big, []int64{offset})
	if big {
		f.kind = kindIFD8
	}
	return f
}

// appendDirectory appends to dst a directory that will be at the even offset at of the
// file, followed by the values that do not fit in it, each at an even offset. Fields
// must be in ascending order of tag.
//
//	           count of fields   a field                                  next directory
//	classic    2 bytes           tag 2, kind 2, count 4, value/offset 4   4 bytes, 0: none
//	BigTIFF    8 bytes           tag 2, kind 2, count 8, value/offset 8   8 bytes, 0: none
func appendDirectory(dst []byte, at int64, big bool, fields []field) []byte {
	countBytes, word := 2, 4
	if big {
		countBytes, word = 8, 8
	}
	fieldBytes := 4 + 2*word
	outside := at + int64(countBytes+len(fields)*fieldBytes+word)
	dst = appendUint(dst, countBytes, uint64(len(fields)))
	var values []byte
	for _, f := range fields {
		dst = le.AppendUint16(dst, f.tag)
		dst = le.AppendUint16(dst, uint16(f.kind))
		dst = appendUint(dst, word, uint64(f.count))
		if len(f.value) <= word {
			dst = append(dst, f.value...)
			dst = append(dst, make([]byte, word-len(f.value))...)
			continue
		}
		dst = appendUint(dst, word, uint64(outside)+uint64(len(values)))
		values = append(values, f.value...)
		if len(values)%2 == 1 {
			values = append(values, 0)
		}
	}
	dst = appendUint(dst, word, 0)
	return append(dst, values...)
}

// appendUint appends v in size bytes: 2, 4 or 8.
func appendUint(dst []byte, size int, v uint64) []byte {
	switch size {
	case 2:
		return le.AppendUint16(dst, uint16(v))
	case 4:
		return le.AppendUint32(dst, uint32(v))
	}
	return le.AppendUint64(dst, v)
}

// fileHeader returns the first 16 bytes of a file whose main directory is at offset
// ifd.
func fileHeader(big bool, ifd int64) []byte {
	b := []byte("II")
	if big {
		const offsetBytes, always0 = 8, 0
		b = le.AppendUint16(b, 43)
		b = le.AppendUint16(b, offsetBytes)
		b = le.AppendUint16(b, always0)
		return le.AppendUint64(b, uint64(ifd))
	}
	b = le.AppendUint16(b, 42)
	b = le.AppendUint32(b, uint32(ifd))
	return append(b, make([]byte, headerBytes-len(b))...)
}
