package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// checkCoded refuses coded data that cannot be whole: neither HEVC nor AV1 has a checksum,
// but both say how long their parts are, and HEVC never has three zeros in a row.
func (p *Photo) checkCoded(f *heifFile, tiles []*heifItem) error {
	left := 2*int(f.src.Size()) + 4<<20 // several tiles may lie in one place
	for n, tile := range tiles {
		b, err := f.data(tile, left)
		if err != nil {
			return err
		}
		left -= len(b)
		whole := wholeOBUs
		if tile.kind == "hvc1" {
			c, _ := tile.trait("hvcC")
			if len(c.data) < 22 {
				return errBox
			}
			whole = func(b []byte) bool { return wholeNALs(b, int(c.data[21]&3)+1) }
		}
		if len(b) == 0 || !whole(b) {
			what := "its coded data"
			if len(tiles) > 1 {
				what = fmt.Sprintf("the coded data of tile %d of %d", n+1, len(tiles))
			}
			return damaged("is damaged: "+what+" are not whole", nil)
		}
		if err := p.checkZeros(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b)))); err != nil {
			return err
		}
	}
	return nil
}

// wholeNALs reports whether HEVC units, each after its length, fill b, and keep to the rule
// that three bytes of a unit are never 0, 0 and 0 to 2 (ITU-T H.265, 7.4.2.1).
func wholeNALs(b []byte, length int) bool {
	for r := (boxBytes{b: b}); len(r.b) > 0; {
		n := 0
		for _, v := range r.take(length) {
			n = n<<8 | int(v)
		}
		unit := r.take(n)
		if r.err != nil || len(unit) < 2 {
			return false
		}
		for at := 0; ; {
			next := bytes.Index(unit[at:], []byte{0, 0})
			if next < 0 {
				break
			}
			if at += next; at+2 < len(unit) && unit[at+2] < 3 || at+2 == len(unit) {
				return false
			}
			at += 2
		}
	}
	return true
}

// wholeOBUs reports whether AV1 units fill b (AV1 specification, 5.3).
func wholeOBUs(b []byte) bool {
	for r := (boxBytes{b: b}); len(r.b) > 0; {
		head := r.number(1)
		if head&0x80 != 0 {
			return false
		}
		if head&4 != 0 {
			r.number(1)
		}
		if head&2 == 0 { // the last may lack its length
			return r.err == nil
		}
		size, n := binary.Uvarint(r.b)
		if n <= 0 || size > uint64(len(r.b)-n) {
			return false
		}
		r.take(n + int(size))
	}
	return true
}

// endedHEIF follows the boxes, by their lengths, and the places of the items.
func endedHEIF(src *io.SectionReader, lim Limits) error {
	top, end, err := topBoxes(src, lim)
	switch {
	case fromDisk(err):
		return err
	case len(top) > 0 && strings.Trim(top[len(top)-1].kind, "\x00") == "" && len(top) > 1:
		return noEnd(src) // zeros in place of boxes
	case errors.Is(err, io.ErrUnexpectedEOF), err == nil && end > src.Size():
		return tooShort(src.Size(), end)
	case err != nil:
		return noEndOr(src)
	}
	if !slices.ContainsFunc(top, func(b topBox) bool { return b.kind == "meta" || b.kind == "moov" }) {
		return tooShort(src.Size(), 0) // the description may come last
	}
	f, err := openHEIF(src, lim)
	if err != nil {
		if fromDisk(err) {
			return err
		}
		return nil // damaged
	}
	return f.ended()
}

// noEndOr is for a file whose boxes cannot be followed: it ends in zeros, or is damaged.
func noEndOr(src *io.SectionReader) error {
	tail, err := tailOf(src, tailBytes)
	if err != nil || len(tail) < tailBytes || !allZero(tail) {
		return err
	}
	return noEnd(src)
}

// ended checks that the items' data are there and do not end in zeros.
func (f *heifFile) ended() error {
	var last [2]int64
	for _, i := range f.items {
		for _, e := range i.extents {
			if !i.inMeta && !i.odd && e[0]+e[1] > last[0]+last[1] {
				last = e
			}
		}
	}
	if end := last[0] + last[1]; end > f.src.Size() {
		return tooShort(f.src.Size(), end)
	}
	tail := make([]byte, min(last[1], tailBytes))
	if _, err := f.src.ReadAt(tail, last[0]+last[1]-int64(len(tail))); err != nil && err != io.EOF {
		return err
	}
	if len(tail) == tailBytes && allZero(tail) {
		return &Unended{"its end is missing: the last of its pictures is only zeros"}
	}
	return withoutHole(f.src, last[0]+last[1])
}
