package photo

import (
	"bufio"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"strings"
)

// decodeJPEG streams the file through the decoder and adopts its planes as they
// are. Truncation is an error, also when only the end marker is missing: a copy
// that lost its last two bytes has usually lost more.
func (p *Photo) decodeJPEG(src *io.SectionReader, frame *jpegFrame, lim Limits) error {
	scans, err := frame.followScans(src, lim)
	if err != nil {
		return err
	}
	p.cautionScans(scans)
	img, err := jpeg.Decode(bufio.NewReaderSize(io.NewSectionReader(src, 0, src.Size()), 64<<10))
	var format jpeg.FormatError
	if errors.As(err, &format) {
		// All of it was followed, so it is whole: for one, progressive with restart markers and coarse colour.
		return wrong(Unsupported, err, "is a sort of JPEG that is not read here%s", inOurWords(err))
	}
	if err != nil {
		return err
	}
	w, h := p.storedSize()
	if img.Bounds() != image.Rect(0, 0, w, h) {
		return errors.New("its size changes half way")
	}
	return p.adopt(img)
}

// cautionScans says what the decoder passes over.
func (p *Photo) cautionScans(s *jpegScans) {
	if s.unfinished() {
		p.caution(CautionUnfinished, "The JPEG lacks its last passes, so its finest detail is missing; copy it again from the card if you can.")
	}
	if s.changed() {
		p.caution(CautionChanged, "The JPEG was changed on its way, by a bit or more: from some place on it may be shifted, lighter, darker or off in colour. "+
			"Look over the whole print, and copy the picture again if that shows.")
	}
	if odd := s.irregular(); odd != nil {
		p.irregular(odd)
	}
}

// irregular cautions of rules of the format that are broken.
func (in *Info) irregular(odd []string) {
	in.caution(CautionIrregular, "The "+in.Format+" breaks the rules of its format: "+strings.Join(odd, ", ")+". Its pixels may well be whole, but look at the print.")
}
