package photo

import (
	"bufio"
	"errors"
	"image"
	"image/jpeg"
	"io"
)

// decodeJPEG streams the file through the decoder and adopts its planes as they
// are. Truncation is an error, also when only the end marker is missing: a copy
// that lost its last two bytes has usually lost more.
func (p *Photo) decodeJPEG(src *io.SectionReader, frame *jpegFrame, lim Limits) error {
	finished, err := frame.checkScans(src, lim)
	if err != nil {
		return err
	}
	if !finished {
		p.caution(CautionUnfinished, "The JPEG lacks its last passes, so its finest detail is missing; copy it again from the card if you can.")
	}
	img, err := jpeg.Decode(bufio.NewReaderSize(io.NewSectionReader(src, 0, src.Size()), 64<<10))
	if err != nil {
		return err
	}
	w, h := p.storedSize()
	if img.Bounds() != image.Rect(0, 0, w, h) {
		return errors.New("its size changes half way")
	}
	return p.adopt(img)
}
