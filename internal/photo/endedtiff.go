package photo

import (
	"errors"
	"io"
)

// endedTIFF follows a TIFF to everything it refers to: each page's directory, its values,
// its strips or tiles, its EXIF. A TIFF may have its directory before the pixels or after
// them, so only this shows where its end is.
func endedTIFF(src *io.SectionReader, lim Limits) error {
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
	return e.written(src)
}

// tiffFault sorts the errors of reading a directory. If something lies beyond the end, it
// is missing. Anything else is damage, which decoding reports.
func tiffFault(err error, size, about int64) error {
	var unended *Unended
	switch {
	case errors.As(err, &unended), fromDisk(err):
		return err
	case errors.Is(err, errDirectory):
		return tooShort(size, about)
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
	compression uint64
}

func (e *tiffExtent) reach(end int64) { e.end = max(e.end, end) }

// tiffPlace is where a directory lies. page is false for EXIF and its like.
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
			err = e.visit(d, here.page)
		}
		if err = tiffFault(err, e.size, here.at); err != nil {
			return err
		}
		if d != nil {
			next = append(next, d.pointers(here.page)...)
		}
	}
	return nil
}

// visit takes in one directory: itself, its values, its blocks.
func (e *tiffExtent) visit(d *directory, page bool) error {
	if blank, ok := d.entries[0]; len(d.entries) == 0 || ok && blank.typ == 0 && blank.count == 0 {
		return &Unended{"its end is missing: where its directory should be are only zeros"}
	}
	if page { // EXIF often lacks the link to a next directory
		e.reach(d.end + d.word())
	}
	for _, v := range d.entries {
		if n := v.size(); n > d.word() {
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

// pointers are the directories that one points to.
func (d *directory) pointers(page bool) (all []tiffPlace) {
	const tagGPS, maxSubIFDs = 0x8825, 16
	for _, tag := range []uint16{tagSubIFDs, tagEXIF, tagGPS, tagInterop} {
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

// blocks takes in where the strips or tiles of a page lie.
func (e *tiffExtent) blocks(d *directory, offsetTag, countTag uint16) error {
	n := int(min(d.entries[offsetTag].count, d.entries[countTag].count, uint64(e.lim.MaxBlocks)))
	compression, err := d.uint(tagCompression, compressionNone)
	if err != nil || n == 0 {
		return err
	}
	offsets, err := d.places(offsetTag, n)
	if err != nil {
		return err
	}
	counts, err := d.places(countTag, n)
	if err != nil {
		return err
	}
	most := plainBlockBytes(d, compression, e.lim)
	e.packed = e.packed && compression != compressionNone
	for i := range offsets {
		at := offsets[i]
		b := blockPlace{at, at + min(counts[i], most(i)), compression}
		if e.reach(b.end); b.end > e.last.end {
			e.last = b
		}
	}
	return nil
}

// plainBlockBytes is the most bytes of block n that are needed. Some programs count more
// than the last uncompressed strip has.
func plainBlockBytes(d *directory, compression uint64, lim Limits) func(n int) int64 {
	l, err := readLayout(d, lim)
	if err != nil || compression != compressionNone {
		return func(int) int64 { return 1 << 32 }
	}
	return func(n int) int64 {
		rows := l.blockH
		if j := n / l.across() % l.down(); !l.tiled {
			rows = min(rows, l.height-j*l.blockH)
		}
		return int64(l.rowBytes()) * int64(rows)
	}
}

// written looks for zeros where the last bytes should be. Uncompressed samples may be
// zero (black, or unprinted ink), so among those only bytes that were never written
// count, and only at the very end: a copy that keeps holes may have them in the picture's
// black parts too.
func (e *tiffExtent) written(src *io.SectionReader) error {
	if e.packed && hole(src, 0, e.end) || hole(src, e.end-1, 1) {
		return holed(src.Size())
	}
	switch e.last.compression {
	case compressionLZW, compressionDeflate, compressionOldDeflate, compressionZSTD, compressionJPEG:
	default:
		return nil
	}
	// None of these ends in zeros: LZW ends in a code, deflate in a checksum, ZSTD in a
	// bit that is set, a JPEG in a marker.
	tail := make([]byte, min(e.last.end-e.last.at, tailBytes))
	if _, err := src.ReadAt(tail, e.last.end-int64(len(tail))); err != nil && err != io.EOF {
		return err
	}
	if len(tail) == tailBytes && allZero(tail) {
		return &Unended{"its end is missing: its last pixels are only zeros"}
	}
	return nil
}
