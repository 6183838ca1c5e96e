package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"slices"
)

// A TIFF may hold each strip or tile as a JPEG of its own (compression 7, TIFF Technical
// Note 2). The tables that all of them share are in a tag.

// Tags of TIFF 6.0, section 21, and of TIFF Technical Note 2.
const (
	tagJPEGTables          = 347
	tagYCbCrCoefficients   = 529
	tagReferenceBlackWhite = 532
)

// readJPEGHeader reads the frame of the first strip or tile, which those after it must
// have too, and the shared tables.
func (l *tiffLayout) readJPEGHeader(src *io.SectionReader, lim Limits) (err error) {
	if l.tables, err = l.dir.bytes(tagJPEGTables, maxJPEGTables); err != nil {
		return err
	}
	b, err := l.openBlocks(src)
	if err != nil {
		return err
	}
	l.frame, err = frameOf(io.NewSectionReader(src, b.offsets[0], b.counts[0]), lim)
	if err != nil {
		return err
	}
	f := *l.frame
	f.adobe = true // a TIFF says by itself what four inks are
	if err := f.check(); err != nil {
		return err
	}
	if len(f.components) != l.stored {
		return errors.New("the JPEG inside has another number of channels than the TIFF")
	}
	return lim.check(demand{l.width, l.height, l.jpegPeak(), f.samplesPerPixel(), src.Size(), float64(l.held())})
}

// maxJPEGTables bounds the shared tables: all that a JPEG can define are less.
const maxJPEGTables = 64 << 10

// frameOf reads a JPEG up to its first scan.
func frameOf(src *io.SectionReader, lim Limits) (*jpegFrame, error) {
	f := &jpegFrame{}
	for walk := walkJPEG(src, lim); ; {
		marker, payload, err := walk.next()
		switch {
		case err != nil:
			return nil, err
		case isFrame(marker):
			if err := f.parse(marker, payload); err != nil {
				return nil, err
			}
		case marker == markerSOS && f.marker != 0:
			return f, nil
		case marker == markerSOS, marker == markerEOI:
			return nil, errors.New("it has no frame header")
		}
	}
}

// jpegPeak estimates the decoder's peak memory, in bytes a pixel of the whole picture.
func (l *tiffLayout) jpegPeak() float64 {
	share := float64(l.blockW) * float64(l.blockH) / (float64(l.width) * float64(l.height))
	block := l.frame.bytesPerPixel() + 4 // image/jpeg makes RGB of what it does not keep as YCbCr
	return float64(l.held()) + float64(block*share)
}

// jpegBlocks decodes the strips or tiles of a page that are JPEGs.
type jpegBlocks struct {
	*tiffBlocks
	lim    Limits
	merged jpegFaults
}

// jpegFaults are what the scans of all blocks showed.
type jpegFaults struct {
	unfinished, changed bool
	irregular           []string
}

func (s *jpegScans) faults() jpegFaults {
	return jpegFaults{s.unfinished(), s.changed(), s.irregular()}
}

func (f *jpegFaults) add(more jpegFaults) {
	f.unfinished = f.unfinished || more.unfinished
	f.changed = f.changed || more.changed
	for _, rule := range more.irregular {
		if !slices.Contains(f.irregular, rule) {
			f.irregular = append(f.irregular, rule)
		}
	}
}

// readAll decodes every block of one channel, or of all channels if they are interleaved.
func (b *jpegBlocks) readAll(channel int, planes []plane) error {
	for j := range b.down() {
		for i := range b.across() {
			n := (channel*b.down()+j)*b.across() + i
			img, err := b.decode(n, min(b.blockH, b.height-j*b.blockH))
			if err != nil {
				return err
			}
			block := Photo{Info: Info{Model: modelOf(len(planes))}}
			block.setSize(img.Bounds().Dx(), img.Bounds().Dy())
			if err := block.adopt(img); err != nil {
				return err
			}
			if block.ycc != b.ycc {
				return errors.New("the JPEG inside has other colours than the TIFF says")
			}
			for c := range planes {
				planes[c].paste(&block.planes[c], i*b.blockW, j*b.blockH)
			}
			b.room.wrote(b.blockW * b.blockH * len(planes))
		}
	}
	return nil
}

// decode decodes block n, of which so many rows are the picture's.
func (b *jpegBlocks) decode(n, rows int) (image.Image, error) {
	coded, err := b.unpack.open(b.offsets[n], b.counts[n])
	if err != nil {
		return nil, err
	}
	abbreviated, err := io.ReadAll(coded)
	if err != nil {
		return nil, err
	}
	whole, err := b.complete(abbreviated)
	if err != nil {
		return nil, err
	}
	section := io.NewSectionReader(bytes.NewReader(whole), 0, int64(len(whole)))
	frame, err := frameOf(section, b.lim)
	if err != nil {
		return nil, err
	}
	frame.adobe = true
	if err := b.sameFrame(frame, rows); err != nil {
		return nil, err
	}
	scans, err := frame.followScans(section, b.lim)
	if err != nil {
		return nil, err
	}
	b.merged.add(scans.faults())
	return jpeg.Decode(bytes.NewReader(whole))
}

// sameFrame checks that a block's JPEG is of the block's size and of the first one's kind.
func (b *jpegBlocks) sameFrame(f *jpegFrame, rows int) error {
	if f.width != b.blockW || f.height < rows || f.height > b.blockH {
		return damaged("is damaged: the size of the JPEG in one of its strips or tiles is not that of the strip or tile", nil)
	}
	if err := f.check(); err != nil {
		return err
	}
	if len(f.components) != len(b.frame.components) || f.subsampling() != b.frame.subsampling() {
		return damaged("is damaged: the JPEGs in its strips or tiles are of different kinds", nil)
	}
	return nil
}

// complete adds the shared tables to a block, and says whether its colours are YCbCr, as
// the TIFF has it. What the block says of that itself does not count (Technical Note 2).
func (b *jpegBlocks) complete(block []byte) ([]byte, error) {
	soi, eoi := []byte{0xff, markerSOI}, []byte{0xff, markerEOI}
	if !bytes.HasPrefix(block, soi) {
		return nil, damaged("is damaged: one of its strips or tiles is no JPEG", nil)
	}
	transform := byte(0)
	if b.ycc {
		transform = 1
	}
	whole := slices.Concat(soi, []byte{0xff, markerAPP14, 0, 14}, []byte("Adobe\x00\x64\x00\x00\x00\x00"), []byte{transform},
		bytes.TrimSuffix(bytes.TrimPrefix(b.tables, soi), eoi))
	for block = block[2:]; len(block) >= 4 && block[0] == 0xff; {
		end := 2 + int(binary.BigEndian.Uint16(block[2:]))
		if block[1] == markerSOS || end > len(block) {
			break
		}
		if application := block[1]&0xf0 == markerAPP0; !application {
			whole = append(whole, block[:end]...)
		}
		block = block[end:]
	}
	return append(whole, block...), nil
}

// paste copies a block into a plane of the same coarseness, from pixel (x, y) of the
// picture on, without what lies beyond the edge.
func (pl *plane) paste(block *plane, x, y int) {
	x, y = x/pl.SubX, y/pl.SubY
	for row := range min(block.Height, pl.Height-y) {
		from, to := row*block.stride, (y+row)*pl.stride+x
		for i := range min(block.Width, pl.Width-x) {
			pl.pix[to+i] = block.pix[from+i*block.step]
		}
	}
}

// decodeJPEGs decodes a page whose strips or tiles are JPEGs. Chroma stays as coarse as it
// is.
func (p *Photo) decodeJPEGs(l *tiffLayout, src *io.SectionReader, lim Limits) error {
	blocks, err := l.openBlocks(src)
	if err != nil {
		return err
	}
	blocks.room = p.room
	b := &jpegBlocks{tiffBlocks: blocks, lim: lim}
	planes, err := l.jpegPlanes(p.room)
	if err != nil {
		return err
	}
	if l.planar {
		for c := range planes {
			if err := b.readAll(c, planes[c:c+1]); err != nil {
				return err
			}
		}
	} else if err := b.readAll(0, planes); err != nil {
		return err
	}
	p.cautionScans(b.merged)
	p.planes, p.ycc = planes, l.ycc
	if l.minIsWhite || l.colours == 4 { // image/jpeg turns ink round, for the JPEGs of editors
		for c := range planes {
			invert(planes[c].pix)
		}
	}
	return nil
}

// jpegPlanes allocates the planes.
func (l *tiffLayout) jpegPlanes(room *Room) ([]plane, error) {
	planes := make([]plane, l.colours)
	for c := range planes {
		subX, subY := 1, 1
		if l.ycc && c > 0 {
			luma, chroma := l.frame.components[0], l.frame.components[c]
			subX, subY = luma.h/max(1, chroma.h), luma.v/max(1, chroma.v)
		}
		if subX < 1 || subY < 1 || l.across() > 1 && l.blockW%subX != 0 || l.down() > 1 && l.blockH%subY != 0 {
			return nil, errors.New("its strips or tiles cut the samples of its colours in two")
		}
		planes[c] = room.newPlane(ceilDiv(l.width, subX), ceilDiv(l.height, subY), false)
		planes[c].SubX, planes[c].SubY = subX, subY
	}
	return planes, nil
}

// checkYCbCr refuses luma and chroma of other weights than a JPEG's (ITU-R BT.601).
func (r *layoutReader) checkYCbCr() error {
	weights, err := r.dir.rationals(tagYCbCrCoefficients, 3)
	if err != nil {
		return err
	}
	for i, w := range weights {
		if d := w - []float64{0.299, 0.587, 0.114}[i]; d < -0.001 || d > 0.001 {
			return tiffNotRead("a TIFF of luma and chroma with weights of its own (YCbCrCoefficients)")
		}
	}
	return nil
}

// checkReference says that a range of values which a JPEG does not have was left out, as
// other readers do.
func (in *Info) checkReference(l *tiffLayout) {
	if !l.ycc || !l.dir.has(tagReferenceBlackWhite) {
		return
	}
	v, err := l.dir.rationals(tagReferenceBlackWhite, 6)
	if err != nil || !slices.Equal(v, []float64{0, 255, 128, 255, 128, 255}) {
		in.cautionColours("The TIFF gives its values another range than a JPEG has (ReferenceBlackWhite); that was left out.")
	}
}
