package photo

import (
	"cmp"
	"compress/zlib"
	"errors"
	"io"
	"slices"

	"sizewright/internal/plural"
)

// A TIFF's directory has no checksum. If its width, its height or the place of a strip was
// changed, it can still be read, but the picture is sheared or has a part twice. Such a
// change is found because the strips do not fit the pixels.

// checkPlaces refuses strips or tiles that overlap one another, the directory, or the
// tables that say where they lie.
func (b *tiffBlocks) checkPlaces(tables ...uint16) error {
	places := make([][2]int64, len(b.offsets))
	for i := range b.offsets {
		places[i] = [2]int64{b.offsets[i], b.counts[i]}
		switch {
		case places[i][1] == 0:
			return damaged("is damaged: one of its strips or tiles was never written", nil)
		case places[i][0] < 2*b.dir.word():
			return damaged("is damaged: one of its strips or tiles is said to lie where the file begins", nil)
		}
	}
	places = append(places, [2]int64{b.dir.at, b.dir.end - b.dir.at})
	for _, tag := range tables {
		if e := b.dir.entries[tag]; e.at < b.dir.at || e.at >= b.dir.end {
			places = append(places, [2]int64{e.at, e.size()})
		}
	}
	slices.SortFunc(places, func(a, b [2]int64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	for i, p := range places[1:] {
		// A writer may use one place twice, for a blank.
		if before := places[i]; p != before && p[0] < before[0]+before[1] {
			return damaged("is damaged: its strips or tiles lie over one another", nil)
		}
	}
	return nil
}

// finish reads a block to its end after the rows that were used, and counts the bytes
// beyond its full height. The last strip may be filled up to that height. zlib compares
// its checksum only at the end.
func (b *tiffBlocks) finish(r io.Reader, n, used int) error {
	if b.compression == compressionNone {
		b.over += b.overlong(b.counts[n], int64(used)*int64(len(b.row)))
		return nil
	}
	for row := used; row < b.blockH || b.over <= b.mostOver(); row++ {
		k, err := io.ReadFull(r, b.row)
		if row >= b.blockH {
			b.over += int64(k)
		}
		if errors.Is(err, zlib.ErrChecksum) || err != nil && b.compression == compressionZSTD && err != io.EOF && err != io.ErrUnexpectedEOF {
			return err
		}
		if err != nil {
			return nil // the end, or a fault of the filling
		}
	}
	return nil
}

// overlong is how many bytes too many an uncompressed block has. Writers may round the
// length up to a word.
func (b *tiffBlocks) overlong(count, used int64) int64 {
	full := int64(b.blockH) * int64(len(b.row))
	if count == full || count == (used+1)&^1 || count == (used+3)&^3 {
		return 0
	}
	return max(0, count-used)
}

// mostOver is how many bytes may be too many before the size must be wrong. House
// judgement.
func (b *tiffBlocks) mostOver() int64 {
	return int64(b.height) * int64(b.width) * int64(b.samples) * int64(b.bits/8) / 64
}

// checkOver refuses or cautions of bytes in the blocks that the picture has no room for.
// A single uncompressed strip is only a caution: some writers give it all the rest of the
// file.
func (b *tiffBlocks) checkOver(p *Photo) error {
	switch {
	case b.over == 0:
	case b.over > b.mostOver() && (b.blocks() > 1 || b.compression != compressionNone):
		return damaged("is damaged: its strips or tiles hold more than the pixels of its width and height", nil)
	default:
		p.irregular("its strips or tiles hold " + plural.Count(b.over, "byte", "bytes") + " more than the pixels of its width and height")
	}
	return nil
}

// oldLZW recognises LZW from before TIFF 5.0. Its bits are in reverse order, so it begins
// with code 256 in the low bits.
func oldLZW(first []byte) bool { return len(first) == 2 && first[0] == 0 && first[1]&1 == 1 }
