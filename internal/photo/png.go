package photo

import (
	"encoding/binary"
	"errors"
	"image"
	"image/png"
	"io"
)

// pngHead is the length of the PNG signature.
const pngHead = 8

// pngChunk is one chunk of a PNG: length, name, data and checksum (PNG, 5.3).
type pngChunk struct {
	name string
	data *io.SectionReader
	next int64 // where it ends
}

// pngChunkAt reads the head of the chunk at an offset. The data may reach beyond src.
func pngChunkAt(src *io.SectionReader, at int64) (pngChunk, error) {
	const head, checksum = 8, 4
	var b [head]byte
	if _, err := src.ReadAt(b[:], at); err != nil {
		return pngChunk{}, noEOF(err)
	}
	size := int64(binary.BigEndian.Uint32(b[:]))
	return pngChunk{string(b[4:]), io.NewSectionReader(src, at+head, size), at + head + size + checksum}, nil
}

// named reports whether the name is four letters.
func (c pngChunk) named() bool {
	for _, b := range []byte(c.name) {
		if b |= 'a' - 'A'; b < 'a' || b > 'z' {
			return false
		}
	}
	return true
}

// read reads the data unless they are longer than max.
func (c pngChunk) read(max int) ([]byte, error) {
	return readAtMost(c.data, max)
}

// identifyPNG reads every chunk's head, and the data of those that matter.
func identifyPNG(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	cfg, err := png.DecodeConfig(fromStart(src))
	if err != nil {
		return nil, err
	}
	var header pngHeader
	if err := in.readPNGChunks(&header, src, lim); err != nil {
		return nil, err
	}
	perPixel := header.bytesPerPixel()
	if err := lim.check(demand{cfg.Width, cfg.Height, perPixel, perPixel, src.Size(), 0}); err != nil {
		return nil, err
	}
	in.setSize(cfg.Width, cfg.Height)
	in.Bits, in.Model = header.bits(), header.model()
	return func(p *Photo) error { return p.decodePNG(src, &header.chunks) }, nil
}

// decodePNG decodes and adopts the picture. Rows of 16-bit RGB keep the decoder's four
// samples a pixel: packing them would need both forms in memory at once.
func (p *Photo) decodePNG(src *io.SectionReader, chunks *pngChunks) error {
	img, err := png.Decode(fromStart(src))
	if err != nil {
		return err
	}
	if m, is := img.(*image.Paletted); is {
		if err := chunks.checkPalette(len(m.Palette)); err != nil {
			return err
		}
	}
	return p.adopt(img)
}

// pngHeader is what the IHDR chunk says apart from the size (PNG, 11.2.1), and what is
// known of the chunks after it.
type pngHeader struct {
	depth, colour, interlace byte
	transparent              bool // there is a tRNS chunk
	exif                     bool // there was an eXIf chunk; the first counts
	colours                  pngColours
	chunks                   pngChunks
}

// Colour types of PNG, table 11.1.
const (
	pngGrey      = 0
	pngPalette   = 3
	pngGreyAlpha = 4
)

func (h pngHeader) model() Model {
	if h.colour == pngGrey || h.colour == pngGreyAlpha {
		return Grey
	}
	return RGB
}

func (h pngHeader) bits() int {
	if h.depth == 16 {
		return 16
	}
	return 8
}

// bytesPerPixel estimates the decoder's peak memory: four samples a pixel for all but
// plain grey, one more where grey or a palette is copied out of them, and half as much
// again for the last pass of an interlaced picture.
func (h pngHeader) bytesPerPixel() float64 {
	samples := 4.0
	switch {
	case h.colour == pngGrey && !h.transparent:
		samples = 1
	case h.colour == pngGrey || h.colour == pngGreyAlpha || h.colour == pngPalette:
		samples = 5
	}
	if h.interlace != 0 {
		samples *= 1.5
	}
	return samples * float64(h.bits()) / 8
}

// readPNGChunks reads the chunks up to IEND, but not the pixels.
func (in *Info) readPNGChunks(header *pngHeader, src *io.SectionReader, lim Limits) error {
	at := int64(pngHead)
	for range lim.MaxSegments {
		chunk, err := pngChunkAt(src, at)
		if err != nil {
			return err
		}
		if chunk.next > src.Size() {
			return io.ErrUnexpectedEOF
		}
		if err := header.chunks.meet(chunk); err != nil {
			return err
		}
		if chunk.name == "IEND" {
			header.chunks.cautions(in, header.colour == pngPalette)
			return nil
		}
		if err := in.readPNGChunk(header, chunk, lim); err != nil {
			return err
		}
		at = chunk.next
	}
	return errors.New("too many chunks")
}

func (in *Info) readPNGChunk(header *pngHeader, chunk pngChunk, lim Limits) error {
	switch {
	case chunk.name == "IHDR":
		b, err := chunk.read(13)
		if err != nil || len(b) != 13 {
			return errors.New("its header chunk is inconsistent")
		}
		header.depth, header.colour, header.interlace = b[8], b[9], b[12]
	case chunk.name == "tRNS":
		header.transparent = true
	case chunk.name == "PLTE", chunk.name == "IDAT":
		header.colours.over = true
	case pngColourChunks[chunk.name].read != nil:
		return in.readPNGColours(&header.colours, chunk, lim)
	case chunk.name == "iTXt":
		b, err := chunk.read(lim.MaxEXIFBytes)
		if err == nil {
			in.readITXt(b, lim)
		} else if head, _ := io.ReadAll(io.LimitReader(chunk.data, int64(len(xmpKeyword)))); string(head) == xmpKeyword {
			in.readXMP(nil, err, lim)
		}
	case chunk.name == "eXIf" && !header.exif:
		header.exif = true
		b, err := chunk.read(lim.MaxEXIFBytes)
		if err == nil {
			err = in.readEXIF(b, lim)
		}
		in.setEXIF(err)
	}
	return nil
}
