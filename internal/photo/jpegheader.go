package photo

import (
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
	// The size is the decoder's own reading, because the decoder allocates.
	cfg, err := jpeg.DecodeConfig(fromStart(src))
	if err != nil {
		return nil, err
	}
	if err := lim.check(demand{cfg.Width, cfg.Height, frame.bytesPerPixel(), frame.samplesPerPixel(), src.Size(), 0}); err != nil {
		return nil, err
	}
	in.setSize(cfg.Width, cfg.Height)
	in.Bits = 8
	in.Model = modelOf(len(frame.components))
	in.Subsampling = frame.subsampling()
	return func(p *Photo) error { return p.decodeJPEG(src, &frame, lim) }, nil
}

// readJPEGHeader reads the segments up to the first scan.
func (in *Info) readJPEGHeader(frame *jpegFrame, src *io.SectionReader, lim Limits) error {
	var icc iccParts
	var exif []byte
	var iptc []byte
	var extended extendedXMP
	for walk := walkJPEG(src, lim); ; {
		marker, payload, err := walk.next()
		if err != nil {
			return err
		}
		if marker == markerSOS {
			break
		}
		switch {
		case marker == markerEOI:
			return damaged("is damaged: the JPEG has a header but no picture", nil)
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
			exif = bytes.Clone(payload)
		case marker == markerAPP1 && bytes.HasPrefix(payload, []byte(xmpHead)):
			in.readXMP(payload[len(xmpHead):], nil, lim)
		case marker == markerAPP1 && bytes.HasPrefix(payload, []byte(extendedXMPHead)):
			extended.add(payload[len(extendedXMPHead):], lim)
		case marker == markerAPP13 && bytes.HasPrefix(payload, []byte(iptcHead)) && len(iptc) <= lim.MaxEXIFBytes:
			iptc = append(iptc, payload[len(iptcHead):]...) // it may go on in further segments
		}
	}
	in.readExtendedXMP(extended, lim)
	if len(iptc) > lim.MaxEXIFBytes {
		in.cautionWords("A part of the IPTC", errLong, lim)
	}
	in.readImageResources(iptc, lim)
	in.setProfile(icc.profile())
	if exif != nil {
		in.setEXIF(in.readEXIF(exif, lim))
	}
	return nil
}

// jpegFrame is a frame header: ITU-T T.81, B.2.2.
type jpegFrame struct {
	marker        byte // 0 if not seen yet
	precision     int
	width, height int // px, as stored
	components    []jpegComponent
	jfif          bool // there is a JFIF APP0 segment
	adobe         bool // there is an Adobe APP14 segment
	transform     byte // the colour transform that it names
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

// addAdobe reads the payload of an APP14 segment: "Adobe", a version, two 2-byte
// flags, and the colour transform.
func (f *jpegFrame) addAdobe(payload []byte) {
	const length = 12
	if len(payload) >= length && bytes.HasPrefix(payload, []byte("Adobe")) {
		f.adobe, f.transform = true, payload[length-1]
	}
}

// oddTransform reports whether the Adobe segment names a transform that is not defined
// for this number of components. Decoders then read luma and chroma.
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

// check refuses the sorts of JPEG that the decoder does not know, each by its name.
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

// subsampling is how much coarser chroma is than luma, as J:a:b, or "" if it is not.
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

// samplesPerPixel is 3 for 4:4:4 and 1.5 for 4:2:0. A sample is one byte.
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

// mcus is how many MCUs the picture is wide and high, in scans of several components.
func (f *jpegFrame) mcus() (across, down int) {
	h, v := f.maxFactors()
	return ceilDiv(f.width, 8*h), ceilDiv(f.height, 8*v)
}

// bytesPerPixel estimates the decoder's peak memory: the planes, for a progressive
// JPEG also every coefficient as an int32, and for CMYK a second, interleaved copy.
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
