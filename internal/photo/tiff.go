package photo

import (
	"errors"
	"io"
)

// decodeTIFF reads strips or tiles row by row straight into planes, in memory or in the
// picture's room. Apart from the planes only one row is in memory.
func (p *Photo) decodeTIFF(l *tiffLayout, src *io.SectionReader, lim Limits) error {
	if l.compression == compressionJPEG {
		return p.decodeJPEGs(l, src, lim)
	}
	blocks, err := l.openBlocks(src)
	if err != nil {
		return err
	}
	blocks.room = p.room
	planes := make([]plane, l.held())
	for c := range planes {
		planes[c] = p.room.newPlane(l.width, l.height, l.bits == 16)
	}
	if l.planar {
		for c := range planes {
			if err := blocks.read(c, planes[c:c+1]); err != nil {
				return err
			}
		}
	} else if err := blocks.read(0, planes); err != nil {
		return err
	}
	if err := blocks.checkOver(p); err != nil {
		return err
	}
	p.planes = planes[:l.colours]
	if l.minIsWhite {
		invert(p.planes[0].pix)
	}
	if l.alpha {
		if err := p.layOverWhite(p.planes, &planes[l.colours], l.associated); err != nil {
			return err
		}
		planes[l.colours] = plane{} // frees its memory
	}
	return nil
}

// invert turns samples of which 0 is white.
func invert(samples []byte) {
	for i := range samples {
		samples[i] ^= 0xff
	}
}

// tiffBlocks reads the strips or tiles of a page.
type tiffBlocks struct {
	*tiffLayout
	offsets, counts []int64
	row             []byte
	unpack          unpacker
	over            int64 // bytes beyond what the blocks may hold
	room            *Room // of the planes, nil for memory
}

func (l *tiffLayout) openBlocks(src *io.SectionReader) (*tiffBlocks, error) {
	offsetTag, countTag := uint16(tagStripOffsets), uint16(tagStripByteCounts)
	if l.tiled {
		offsetTag, countTag = tagTileOffsets, tagTileByteCounts
	}
	b := &tiffBlocks{tiffLayout: l, row: make([]byte, l.rowBytes()), unpack: newUnpacker(src, l.compression)}
	var err error
	if b.offsets, err = l.ofBlocks(offsetTag); err != nil {
		return nil, err
	}
	if b.counts, err = l.ofBlocks(countTag); err != nil {
		return nil, err
	}
	return b, b.checkPlaces(offsetTag, countTag)
}

// ofBlocks reads a tag that has one value for each strip or tile.
func (l *tiffLayout) ofBlocks(tag uint16) ([]int64, error) {
	values, err := l.dir.places(tag, l.blocks())
	switch {
	case err != nil:
		return nil, err
	case len(values) < l.blocks():
		return nil, errors.New("it does not say where all of its strips or tiles are")
	case l.dir.entries[tag].count > uint64(l.blocks()):
		return nil, damaged("is damaged: it has more strips or tiles than its size has room for", nil)
	}
	return values, nil
}

// read fills planes from the blocks of one channel, or of all channels if they are
// interleaved.
func (b *tiffBlocks) read(channel int, planes []plane) error {
	across, down := b.across(), b.down()
	for j := range down {
		for i := range across {
			n := (channel*down+j)*across + i
			if err := b.readBlock(n, i*b.blockW, j*b.blockH, planes); err != nil {
				return err
			}
		}
	}
	return nil
}

// readBlock reads block n, whose first pixel is (x, y) of the picture.
func (b *tiffBlocks) readBlock(n, x, y int, planes []plane) error {
	r, err := b.unpack.open(b.offsets[n], b.counts[n])
	if err != nil {
		return err
	}
	used := min(b.blockH, b.height-y)
	for k := range used {
		if _, err := io.ReadFull(r, b.row); err != nil {
			return noEOF(err)
		}
		b.decodeRow()
		for c := range planes {
			b.scatter(c, x, y+k, &planes[c])
		}
		b.room.wrote(len(b.row))
	}
	return b.finish(r, n, used)
}
