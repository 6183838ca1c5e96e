package tiff

import (
	"errors"
	"fmt"
	"io"
)

// maxChecked is how many strips Check reads, spread evenly. Prints of up to about 4 by
// 6 metres at 360 ppi have fewer. On a slow disk each strip may cost a seek.
const maxChecked = 1000

var errCut = errors.New("its tables of strips are missing or damaged")

// Check reports whether a file of size bytes still has the structure that a [Writer]
// gave a picture of width x height pixels: header, directory, strips one directly after
// another, and the first bytes of up to 1,000 strips as their compression writes them.
// It decodes nothing. So it detects a file that was emptied, truncated, replaced or
// partly overwritten with zeros, but not one with a few changed bytes. The error
// completes a sentence about the file.
func Check(r io.ReaderAt, size int64, width, height int) error {
	d, err := openDirectory(r, size)
	if err != nil {
		return err
	}
	if w, h := d.number(tagImageWidth), d.number(tagImageLength); w != int64(width) || h != int64(height) {
		return fmt.Errorf("it holds a picture of %d x %d px, but the print has %d x %d", w, h, width, height)
	}
	offsets, err := d.numbers(tagStripOffsets)
	if err != nil {
		return err
	}
	counts, err := d.numbers(tagStripByteCounts)
	if err != nil {
		return err
	}
	rows := d.number(tagRowsPerStrip)
	if rows < 1 || int64(len(offsets)) != (int64(height)+rows-1)/rows || len(counts) != len(offsets) {
		return errCut
	}
	at := int64(headerBytes)
	for i, offset := range offsets {
		if offset != at || counts[i] < 1 || counts[i] > size-at {
			return errors.New("its strips are not where they were written: it was overwritten, or saved by another program")
		}
		at += (counts[i] + 1) / 2 * 2
	}
	step := (len(offsets) + maxChecked - 1) / maxChecked
	for i := 0; i < len(offsets); i += step {
		if !validStart(r, offsets[i], d.number(tagCompression)) {
			return fmt.Errorf("strip %d of %d is overwritten", i+1, len(offsets))
		}
	}
	return nil
}

// validStart reports whether a strip starts as its compression requires: with a zlib header
// (RFC 1950, 2.2: method 8, and a multiple of 31) or LZW's clear code (TIFF 6.0,
// section 13). Without compression any bytes are valid.
func validStart(r io.ReaderAt, offset, compression int64) bool {
	var b [2]byte
	if _, err := r.ReadAt(b[:], offset); err != nil {
		return false
	}
	switch compression {
	case int64(Deflate.tag()):
		return b[0]&0xf == 8 && (uint(b[0])<<8+uint(b[1]))%31 == 0
	case int64(LZW.tag()):
		return b[0] == 0x80
	}
	return true
}

// directory is the main directory of a file.
type directory struct {
	r      io.ReaderAt
	size   int64
	word   int // size of an offset in bytes
	fields map[uint16][]byte
}

// maxFields is more than this package writes.
const maxFields = 64

func openDirectory(r io.ReaderAt, size int64) (*directory, error) {
	var head [headerBytes]byte
	if _, err := r.ReadAt(head[:], 0); err != nil {
		return nil, fmt.Errorf("it has only %d bytes, too few for a TIFF", size)
	}
	d := &directory{r: r, size: size, word: 4, fields: map[uint16][]byte{}}
	at, countBytes := int64(le.Uint32(head[4:])), 2
	switch string(head[:4]) {
	case "II*\x00":
	case "II+\x00":
		d.word, countBytes = 8, 8
		at = int64(le.Uint64(head[8:]))
	default:
		return nil, errors.New("it does not begin like a TIFF that sizewright wrote")
	}
	count, err := d.read(at, countBytes)
	if err != nil || uintOf(count) > maxFields {
		return nil, errCut
	}
	fieldBytes := 4 + 2*d.word
	all, err := d.read(at+int64(countBytes), int(uintOf(count))*fieldBytes)
	if err != nil {
		return nil, errCut
	}
	for ; len(all) > 0; all = all[fieldBytes:] {
		d.fields[le.Uint16(all)] = all[:fieldBytes]
	}
	return d, nil
}

// read returns n bytes of the file.
func (d *directory) read(at int64, n int) ([]byte, error) {
	if at < headerBytes || int64(n) > d.size-at {
		return nil, errCut
	}
	b := make([]byte, n)
	_, err := d.r.ReadAt(b, at)
	return b, err
}

// numbers returns the values of an integer field.
func (d *directory) numbers(tag uint16) ([]int64, error) {
	f := d.fields[tag]
	if f == nil {
		return nil, errCut
	}
	each := map[kind]int{kindShort: 2, kindLong: 4, kindLong8: 8}[kind(le.Uint16(f[2:]))]
	count := uintOf(f[4 : 4+d.word])
	if each == 0 || count > maxSidePX {
		return nil, errCut
	}
	value := f[4+d.word:]
	if n := each * int(count); n <= d.word {
		value = value[:n]
	} else {
		var err error
		if value, err = d.read(int64(uintOf(value)), n); err != nil {
			return nil, errCut
		}
	}
	all := make([]int64, count)
	for i := range all {
		all[i] = int64(uintOf(value[i*each : (i+1)*each]))
	}
	return all, nil
}

// number returns the value of an integer field with one value, or -1.
func (d *directory) number(tag uint16) int64 {
	if all, err := d.numbers(tag); err == nil && len(all) == 1 {
		return all[0]
	}
	return -1
}

// uintOf decodes a little-endian integer of 2, 4 or 8 bytes.
func uintOf(b []byte) uint64 {
	var v uint64
	for i, x := range b {
		v |= uint64(x) << (8 * i)
	}
	return v
}
