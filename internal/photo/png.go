package photo

import (
	"bufio"
	"errors"
	"image"
	"image/png"
	"io"
)

// decodePNG decodes and adopts the picture. Rows of 16-bit RGB stay four
// samples wide, as the decoder made them: packing them would need both forms
// at once.
func (p *Photo) decodePNG(src *io.SectionReader, chunks *pngChunks) error {
	img, err := png.Decode(bufio.NewReaderSize(io.NewSectionReader(src, 0, src.Size()), 64<<10))
	if err != nil {
		return err
	}
	w, h := p.storedSize()
	if img.Bounds() != image.Rect(0, 0, w, h) {
		return errors.New("its size changes half way")
	}
	if m, is := img.(*image.Paletted); is {
		if err := chunks.checkPalette(len(m.Palette)); err != nil {
			return err
		}
	}
	return p.adopt(img)
}
