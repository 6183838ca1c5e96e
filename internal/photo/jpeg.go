package photo

import (
	"errors"
	"image/jpeg"
	"io"
	"strings"
)

// decodeJPEG decodes the file and adopts the decoder's planes as they are. A missing
// end marker is an error too: a copy that lost its last two bytes has usually lost more.
func (p *Photo) decodeJPEG(src *io.SectionReader, frame *jpegFrame, lim Limits) error {
	scans, err := frame.followScans(src, lim)
	if err != nil {
		return err
	}
	p.cautionScans(scans.faults())
	img, err := jpeg.Decode(fromStart(src))
	var format jpeg.FormatError
	if errors.As(err, &format) {
		// Its codes were all read, so it is whole. One example is progressive with restart markers and coarse colour.
		return wrong(Unsupported, err, "is a sort of JPEG that is not read here%s", inOurWords(err))
	}
	if err != nil {
		return err
	}
	return p.adopt(img)
}

// cautionScans says what the decoder ignores.
func (p *Photo) cautionScans(s jpegFaults) {
	if s.unfinished {
		p.caution(CautionUnfinished, "The JPEG lacks its last passes, so its finest detail is missing.")
	}
	if s.changed {
		p.caution(CautionChanged, "One or more bits of the JPEG were changed after it was made. From some place on, the picture may be shifted, lighter, darker or off in colour.")
	}
	p.irregular(s.irregular...)
}

// irregular cautions if rules of the format are broken.
func (in *Info) irregular(broken ...string) {
	if len(broken) > 0 {
		in.caution(CautionIrregular, "The "+in.Format+" breaks the rules of its format: "+strings.Join(broken, ", ")+". Its pixels may still be whole.")
	}
}
