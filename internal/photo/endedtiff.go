package photo

import (
	"errors"
	"io"
)

// endedTIFF follows a TIFF to everything it says it has: each page's directory,
// its values, its strips or tiles, its EXIF. A TIFF may keep its directory
// before the pixels or after them, so nothing less tells where its end is.
func endedTIFF(r io.ReaderAt, src *io.SectionReader, lim Limits) error {
	t, first, err := openTIFF(src, src.Size(), lim)
	if err != nil {
		return tiffFault(err, src.Size(), 0)
	}
	e := tiffExtent{tiffBytes: t, lim: lim, packed: true}
	if err := e.follow(first); err != nil {
		return err
	}
	if e.end > src.Size() {
		return tooShort(src.Size(), e.end)
	}
	return e.written(r, src)
}

// tiffFault sorts what reading a directory said: something beyond the end is
// missing, anything else is damage, for decoding to tell.
func tiffFault(err error, size, about int64) error {
	switch {
	case errors.Is(err, errDirectory):
		return tooShort(size, about)
	case fromDisk(err):
		return err
	}
	return nil
}

// tiffExtent collects how far a TIFF reaches.
type tiffExtent struct {
	tiffBytes
	lim    Limits
	end    int64      // where the file ends at the earliest
	last   blockPlace // the block that ends last
	packed bool       // every block seen is compressed
}

// blockPlace is where a strip or tile lies.
type blockPlace struct {
	at, end     int64
	compression uint32
}

func (e *tiffExtent) reach(end int64) { e.end = max(e.end, end) }

// tiffPlace is where a directory lies: that of a page, or one with more about it.
type tiffPlace struct {
	at   int64
	page bool
}

// follow visits the directory at a place, those it points to and those after it.
func (e *tiffExtent) follow(first int64) error {
	seen := map[int64]bool{}
	for next := []tiffPlace{{first, true}}; len(next) > 0 && len(seen) < e.lim.MaxDirectories; next = next[1:] {
		here := next[0]
		if seen[here.at] {
			continue
		}
		seen[here.at] = true
		d, err := e.directory(here.at)
		if err == nil {
			err = e.visit(d, here)
		}
		if err = tiffOrUnended(err, e.size, here.at); err != nil {
			return err
		}
		if d != nil {
			next = append(next, d.pointers(here.page)...)
		}
	}
	return nil
}

func tiffOrUnended(err error, size, at int64) error {
	var u *Unended
	if errors.As(err, &u) {
		return err
	}
	return tiffFault(err, size, at)
}

// visit takes in one directory: itself, its values, its blocks.
func (e *tiffExtent) visit(d *directory, here tiffPlace) error {
	if blank, ok := d.entries[0]; len(d.entries) == 0 || ok && blank.typ == 0 && blank.count == 0 {
		return &Unended{"its end is missing: where its directory should be are only zeros"}
	}
	if here.page { // the link to the next: in EXIF it is often left out
		head, err := e.bytesAt(here.at, 2)
		if err != nil {
			return err
		}
		e.reach(here.at + 2 + 12*int64(e.order.Uint16(head)) + 4)
	}
	for _, v := range d.entries {
		if n := int64(v.count) * valueSize(v.typ); n > 4 {
			e.reach(v.at + n)
		}
	}
	if e.end > e.size {
		return nil // the lists of blocks may be what is missing
	}
	if err := e.blocks(d, tagStripOffsets, tagStripByteCounts); err != nil {
		return err
	}
	return e.blocks(d, tagTileOffsets, tagTileByteCounts)
}

// valueSize is the bytes of a value of TIFF 6.0, section 2; 0 for types unknown.
func valueSize(typ uint16) int64 {
	switch typ {
	case typeByte, typeASCII, 6, typeUndefined, typeUTF8:
		return 1
	case typeShort, 8:
		return 2
	case typeLong, 9, 11, typeIFD:
		return 4
	case 5, 10, 12:
		return 8
	}
	return 0
}

// pointers are the directories that one points to.
func (d *directory) pointers(page bool) (all []tiffPlace) {
	const exif, gps, interoperability = 34665, 34853, 40965
	for _, tag := range []uint16{tagSubIFDs, exif, gps, interoperability} {
		places, _ := d.uints(tag, maxSubIFDs)
		for _, at := range places {
			all = append(all, tiffPlace{int64(at), false})
		}
	}
	if page && d.next != 0 {
		all = append(all, tiffPlace{d.next, true})
	}
	return all
}

const maxSubIFDs = 16

// blocks takes in where the strips or tiles of a page lie, a few thousand at a
// time.
func (e *tiffExtent) blocks(d *directory, offsetTag, countTag uint16) error {
	const batch = 4096
	n := int(min(d.entries[offsetTag].count, d.entries[countTag].count, uint32(e.lim.MaxBlocks)))
	compression, err := d.uint(tagCompression, compressionNone)
	if err != nil || n == 0 {
		return err
	}
	most := plainBlockBytes(d, compression, e.lim)
	e.packed = e.packed && compression != compressionNone
	for from := 0; from < n; from += batch {
		offsets, err := d.part(offsetTag, from, min(batch, n-from))
		if err != nil {
			return err
		}
		counts, err := d.part(countTag, from, min(batch, n-from))
		if err != nil {
			return err
		}
		for i := range offsets {
			at := int64(offsets[i])
			b := blockPlace{at, at + min(int64(counts[i]), most(from+i)), compression}
			if e.reach(b.end); b.end > e.last.end {
				e.last = b
			}
		}
	}
	return nil
}

// part reads n values of a tag that has as many, from one on.
func (d *directory) part(tag uint16, from, n int) ([]uint32, error) {
	e := d.entries[tag]
	e.at += int64(from) * typeSize(e.typ)
	e.count = uint32(n)
	one := directory{tiffBytes: d.tiffBytes, entries: map[uint16]entry{tag: e}}
	return one.uints(tag, n)
}

// plainBlockBytes is the most bytes of block n that are needed. Some programs
// count more than a last uncompressed strip has.
func plainBlockBytes(d *directory, compression uint32, lim Limits) func(n int) int64 {
	l, err := readLayout(d, lim)
	if err != nil || compression != compressionNone {
		return func(int) int64 { return 1 << 32 }
	}
	stored := l.samples
	if l.planar {
		stored = 1
	}
	row := int64(l.blockW) * int64(stored) * int64(l.bits/8)
	return func(n int) int64 {
		rows := l.blockH
		if j := n / l.across() % l.down(); !l.tiled {
			rows = min(rows, l.height-j*l.blockH)
		}
		return row * int64(rows)
	}
}

// written looks for zeros where the last bytes should be. Plain samples may
// well be zero (black, or unprinted ink), so of those only bytes that were
// never written count, and only at the very end: the picture's own black parts
// may be holes too, in a copy that keeps them.
func (e *tiffExtent) written(r io.ReaderAt, src *io.SectionReader) error {
	if e.packed && hole(r, 0, e.end) || hole(r, e.end-1, 1) {
		return holed(src.Size())
	}
	switch e.last.compression {
	case compressionLZW, compressionDeflate, compressionOldDeflate:
	default:
		return nil
	}
	// Neither LZW nor deflate ends in zeros: a code for the end, a checksum.
	tail := make([]byte, min(e.last.end-e.last.at, tailBytes))
	if _, err := src.ReadAt(tail, e.last.end-int64(len(tail))); err != nil && err != io.EOF {
		return err
	}
	if len(tail) == tailBytes && allZero(tail) {
		return &Unended{"its end is missing: its last pixels are only zeros"}
	}
	return nil
}
