package tiff

import (
	"errors"
	"fmt"
	"io"
)

// mostLooked is how many strips Check looks at, spread evenly: more than prints have up
// to some 4 by 6 metres at 360 ppi. Each may cost a slow disk a seek.
const mostLooked = 1000

var errCut = errors.New("it is cut off, or overwritten, where its tables of strips should be")

// Check tells whether a file of size bytes still has the form that a [Writer] gave a
// picture of width x height pixels: header, directory, every strip where the one before
// it ends, and the first bytes of strips (up to 1,000 of them) as their compression has
// them. It decodes nothing, so it finds a file that was emptied, cut, replaced by another
// or zeroed in part, and not one of which single bytes have changed. The error is for the
// end of a sentence about the file.
func Check(r io.ReaderAt, size int64, width, height int) error {
	d, err := openDirectory(r, size)
	if err != nil {
		return err
	}
	if w, h := d.number(tagImageWidth), d.number(tagImageLength); w != int64(width) || h != int64(height) {
		return fmt.Errorf("it holds a picture of %d x %d px, and the print has %d x %d", w, h, width, height)
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
			return errors.New("its strips do not lie as they were written: it is overwritten, or another program's")
		}
		at += (counts[i] + 1) / 2 * 2
	}
	step := (len(offsets) + mostLooked - 1) / mostLooked
	for i := 0; i < len(offsets); i += step {
		if !begins(r, offsets[i], d.number(tagCompression)) {
			return fmt.Errorf("strip %d of its %d is overwritten", i+1, len(offsets))
		}
	}
	return nil
}

// begins tells whether a strip's first bytes are those of its compression: a zlib stream
// (RFC 1950, 2.2: method 8, and a multiple of 31) or LZW's code to clear its table (TIFF
// 6.0, section 13). Without compression they may be anything.
func begins(r io.ReaderAt, offset, compression int64) bool {
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

// directory is the main one of a file, as it was read.
type directory struct {
	r      io.ReaderAt
	size   int64
	word   int // bytes of an offset
	fields map[uint16][]byte
}

// mostFields is more than this package writes.
const mostFields = 64

func openDirectory(r io.ReaderAt, size int64) (*directory, error) {
	var head [headerBytes]byte
	if _, err := r.ReadAt(head[:], 0); err != nil {
		return nil, fmt.Errorf("it has %d bytes, and no TIFF has so few", size)
	}
	d := &directory{r: r, size: size, word: 4, fields: map[uint16][]byte{}}
	at, countBytes := int64(le.Uint32(head[4:])), 2
	switch string(head[:4]) {
	case "II*\x00":
	case "II+\x00":
		d.word, countBytes = 8, 8
		at = int64(le.Uint64(head[8:]))
	default:
		return nil, errors.New("it does not begin as the TIFFs written here do")
	}
	count, err := d.read(at, countBytes)
	if err != nil || uintOf(count) > mostFields {
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

// read reads n bytes of the file.
func (d *directory) read(at int64, n int) ([]byte, error) {
	if at < headerBytes || int64(n) > d.size-at {
		return nil, errCut
	}
	b := make([]byte, n)
	_, err := d.r.ReadAt(b, at)
	return b, err
}

// numbers are the values of a field of whole numbers.
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

// number is the value of a field of one whole number, -1 without it.
func (d *directory) number(tag uint16) int64 {
	if all, err := d.numbers(tag); err == nil && len(all) == 1 {
		return all[0]
	}
	return -1
}

// uintOf is a number of 2, 4 or 8 bytes.
func uintOf(b []byte) uint64 {
	var v uint64
	for i, x := range b {
		v |= uint64(x) << (8 * i)
	}
	return v
}
