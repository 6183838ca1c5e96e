package photo

import (
	"encoding/binary"
	"errors"
	"image/png"
	"io"
)

// pngHead is the length of the PNG signature.
const pngHead = 8

// identifyPNG reads every chunk's head, and the data of those that matter.
func identifyPNG(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	cfg, err := png.DecodeConfig(io.NewSectionReader(src, 0, src.Size()))
	if err != nil {
		return nil, err
	}
	var header pngHeader
	if err := in.readPNGChunks(&header, src, lim); err != nil {
		return nil, err
	}
	perPixel := header.bytesPerPixel()
	if err := lim.check(demand{cfg.Width, cfg.Height, perPixel, perPixel, src.Size()}); err != nil {
		return nil, err
	}
	in.setSize(cfg.Width, cfg.Height)
	in.Bits, in.Model = header.bits(), header.model()
	return func(p *Photo) error { return p.decodePNG(src, &header.chunks) }, nil
}

// pngHeader is what the IHDR chunk says beside the size: PNG, 11.2.1.
type pngHeader struct {
	depth, colour, interlace byte
	transparent              bool // there is a tRNS chunk
	exif                     bool // there was an eXIf chunk: the first counts
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

// bytesPerPixel estimates the decoder's peak: four samples a pixel for all but
// plain grey, one more where grey or a palette is copied out of them, and half
// as much again for the last pass of an interlaced picture.
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

// readPNGChunks walks the chunks to IEND, passing over the pixels.
func (in *Info) readPNGChunks(header *pngHeader, src *io.SectionReader, lim Limits) error {
	at := int64(pngHead)
	for range lim.MaxSegments {
		var head [8]byte
		if _, err := src.ReadAt(head[:], at); err != nil {
			return noEOF(err)
		}
		name, size := string(head[4:]), int64(binary.BigEndian.Uint32(head[:]))
		if at+8+size+4 > src.Size() { // head, data, checksum
			return io.ErrUnexpectedEOF
		}
		if err := header.chunks.meet(name, size); err != nil {
			return err
		}
		if name == "IEND" {
			header.chunks.cautions(in, header.colour == pngPalette)
			return nil
		}
		if err := in.readPNGChunk(header, name, io.NewSectionReader(src, at+8, size), lim); err != nil {
			return err
		}
		at += 8 + size + 4
	}
	return errors.New("too many chunks")
}

func (in *Info) readPNGChunk(header *pngHeader, name string, data *io.SectionReader, lim Limits) error {
	switch {
	case name == "IHDR":
		b, err := chunkData(data, 13)
		if err != nil || len(b) != 13 {
			return errors.New("its header chunk is inconsistent")
		}
		header.depth, header.colour, header.interlace = b[8], b[9], b[12]
	case name == "tRNS":
		header.transparent = true
	case name == "PLTE", name == "IDAT":
		header.colours.over = true
	case pngColourChunks[name].read != nil:
		return in.readPNGColours(&header.colours, name, data, lim)
	case name == "eXIf" && !header.exif:
		header.exif = true
		b, err := chunkData(data, lim.MaxEXIFBytes)
		if err == nil {
			err = in.readEXIF(b, lim)
		}
		in.setEXIF(err)
	}
	return nil
}

// chunkData reads a whole chunk unless it is longer than max.
func chunkData(data *io.SectionReader, max int) ([]byte, error) {
	if data.Size() > int64(max) {
		return nil, errors.New("a chunk is too long")
	}
	return io.ReadAll(data)
}
