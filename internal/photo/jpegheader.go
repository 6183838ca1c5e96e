package photo

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image/jpeg"
	"io"
)

// identifyJPEG reads everything before the first scan.
func identifyJPEG(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	var frame jpegFrame
	if err := in.readJPEGHeader(&frame, src, lim); err != nil {
		return nil, err
	}
	if err := frame.check(); err != nil {
		return nil, err
	}
	// The decoder's own word on the size is asked too: it is the decoder that
	// will allocate.
	cfg, err := jpeg.DecodeConfig(bufio.NewReader(io.NewSectionReader(src, 0, src.Size())))
	if err != nil {
		return nil, err
	}
	if err := lim.check(demand{cfg.Width, cfg.Height, frame.bytesPerPixel(), frame.samplesPerPixel(), src.Size()}); err != nil {
		return nil, err
	}
	in.setSize(cfg.Width, cfg.Height)
	in.Bits = 8
	in.Model = frame.model()
	in.Subsampling = frame.subsampling()
	return func(p *Photo) error { return p.decodeJPEG(src, &frame, lim) }, nil
}

// readJPEGHeader walks the segments up to the first scan.
func (in *Info) readJPEGHeader(frame *jpegFrame, src *io.SectionReader, lim Limits) error {
	var icc iccParts
	var exif []byte
	for walk := walkJPEG(src, lim); ; {
		marker, err := walk.next()
		if err != nil {
			return err
		}
		if marker == markerSOS {
			break
		}
		if marker == markerEOI {
			return damaged("is damaged: the JPEG has a header but no picture", nil)
		}
		if !isFrame(marker) && marker != markerAPP0 && marker != markerAPP1 && marker != markerAPP2 && marker != markerAPP14 {
			continue
		}
		payload, err := walk.payload()
		if err != nil {
			return err
		}
		switch {
		case isFrame(marker):
			if err := frame.parse(marker, payload); err != nil {
				return err
			}
		case marker == markerAPP2:
			icc.add(payload, lim)
		case marker == markerAPP14:
			frame.addAdobe(payload)
		case marker == markerAPP0:
			frame.jfif = bytes.HasPrefix(payload, []byte("JFIF\x00"))
		case exif == nil && marker == markerAPP1 && bytes.HasPrefix(payload, []byte(exifHead)):
			exif = payload
		}
	}
	in.setProfile(icc.profile())
	if exif != nil {
		in.setEXIF(in.readEXIF(exif, lim))
	}
	return nil
}

// jpegFrame is a frame header: ITU-T T.81, B.2.2.
type jpegFrame struct {
	marker        byte // 0: not seen yet
	precision     int
	width, height int // px, as stored
	components    []jpegComponent
	jfif          bool // there is a JFIF APP0 segment
	adobe         bool // there is an Adobe APP14 segment
	transform     byte // what it says
}

type jpegComponent struct {
	id    byte
	h, v  int // sampling factors
	quant byte
}

func (f *jpegFrame) parse(marker byte, payload []byte) error {
	const head, each = 6, 3
	if f.marker != 0 || len(payload) < head || len(payload) != head+each*int(payload[5]) {
		return errors.New("its frame header is inconsistent")
	}
	f.marker, f.precision = marker, int(payload[0])
	f.height, f.width = int(binary.BigEndian.Uint16(payload[1:])), int(binary.BigEndian.Uint16(payload[3:]))
	for c := payload[head:]; len(c) > 0; c = c[each:] {
		f.components = append(f.components, jpegComponent{id: c[0], h: int(c[1] >> 4), v: int(c[1] & 15), quant: c[2]})
	}
	return nil
}

// addAdobe takes the payload of an APP14 segment: "Adobe", a version, two times two
// bytes of flags, and how the components were transformed.
func (f *jpegFrame) addAdobe(payload []byte) {
	const length = 12
	if len(payload) >= length && bytes.HasPrefix(payload, []byte("Adobe")) {
		f.adobe, f.transform = true, payload[length-1]
	}
}

// oddTransform reports whether the Adobe segment names a transform that nobody
// defined for so many components. Decoders take luma and chroma then.
func (f *jpegFrame) oddTransform() bool {
	switch len(f.components) {
	case 3:
		return f.adobe && !f.jfif && f.transform > 1
	case 4:
		return f.adobe && f.transform != 0 && f.transform != 2
	}
	return false
}

func (f *jpegFrame) progressive() bool { return f.marker == markerSOF2 }

// check refuses, in words, the sorts of JPEG that the decoder does not know.
func (f *jpegFrame) check() error {
	const remedy = "open it in an editor and export it as an ordinary 8-bit JPEG, or as a TIFF"
	switch {
	case f.marker == 0:
		return errors.New("it has no frame header")
	case f.marker > markerSOF2:
		return unsupported("is a lossless, hierarchical or arithmetic-coded JPEG, which is not read here", remedy)
	case f.precision != 8:
		return unsupported("is a JPEG of more than 8 bits, which is not read here", remedy)
	case len(f.components) == 4 && !f.adobe:
		return unsupported("is a four-ink JPEG that does not say which way its ink is counted", "export it as a TIFF")
	}
	return nil
}

func (f *jpegFrame) model() Model {
	switch len(f.components) {
	case 1:
		return Grey
	case 4:
		return CMYK
	}
	return RGB
}

// subsampling is how much coarser chroma is than luma, in the usual three
// numbers (J:a:b, of two rows of four pixels), "" for not at all.
func (f *jpegFrame) subsampling() string {
	if len(f.components) != 3 {
		return ""
	}
	luma, chroma := f.components[0], f.components[1]
	if chroma.h == 0 || chroma.v == 0 || luma.h == chroma.h && luma.v == chroma.v {
		return ""
	}
	a := 4 * chroma.h / max(luma.h, 1)
	b := a
	if luma.v > chroma.v {
		b = 0
	}
	return fmt.Sprintf("4:%d:%d", a, b)
}

// samplesPerPixel counts samples, which are bytes: 3 of 4:4:4, 1.5 of 4:2:0.
func (f *jpegFrame) samplesPerPixel() float64 {
	hMax, vMax := f.maxFactors()
	sum := 0
	for _, c := range f.components {
		sum += c.h * c.v
	}
	return float64(sum) / float64(max(1, hMax*vMax))
}

func (f *jpegFrame) maxFactors() (h, v int) {
	for _, c := range f.components {
		h, v = max(h, c.h), max(v, c.v)
	}
	return h, v
}

// bytesPerPixel estimates what the decoder holds at its peak: the planes, for a
// progressive JPEG every coefficient as an int32, and for CMYK a second,
// interleaved copy.
func (f *jpegFrame) bytesPerPixel() float64 {
	perPixel := f.samplesPerPixel()
	if f.progressive() {
		perPixel *= 5
	}
	if len(f.components) == 4 {
		perPixel += 4
	}
	return perPixel
}
