package photo

import (
	"encoding/binary"
	"errors"
	"image"
	"io"

	"golang.org/x/image/webp"

	"sizewright/internal/plural"
)

// A WebP is a RIFF file: a head of twelve bytes and chunks (WebP Container Specification).
// Its lossy pictures are video frames of VP8 (RFC 6386): luma from 16 to 235, and chroma
// of half the width and height.

const riffHead = 12

// riffChunk is one chunk: a name, a length, data, and a byte if the length is odd.
type riffChunk struct {
	name string
	data *io.SectionReader
	next int64
}

// riffEnd is where the file ends, by its head.
func riffEnd(src *io.SectionReader) (int64, error) {
	var head [riffHead]byte
	if _, err := src.ReadAt(head[:], 0); err != nil {
		return 0, noEOF(err)
	}
	if string(head[8:]) != "WEBP" {
		return 0, errors.New("its head is inconsistent")
	}
	return 8 + int64(binary.LittleEndian.Uint32(head[4:])), nil
}

// riffChunkAt reads the head of the chunk at an offset. The data may reach beyond src.
func riffChunkAt(src *io.SectionReader, at int64) (riffChunk, error) {
	var head [8]byte
	if _, err := src.ReadAt(head[:], at); err != nil {
		return riffChunk{}, noEOF(err)
	}
	size := int64(binary.LittleEndian.Uint32(head[4:]))
	begin := at + int64(len(head))
	return riffChunk{string(head[:4]), io.NewSectionReader(src, begin, size), begin + size + size&1}, nil
}

// webpChunks calls visit with each chunk.
func webpChunks(src *io.SectionReader, lim Limits, visit func(riffChunk) error) error {
	end, err := riffEnd(src)
	if err != nil {
		return err
	}
	at := int64(riffHead)
	for n := 0; at < end; n++ {
		if n == lim.MaxSegments {
			return errors.New("too many chunks")
		}
		chunk, err := riffChunkAt(src, at)
		if err != nil {
			return err
		}
		if last := chunk.next - chunk.data.Size()&1; last > min(end, src.Size()) {
			return io.ErrUnexpectedEOF
		}
		if err := visit(chunk); err != nil {
			return err
		}
		at = chunk.next
	}
	return nil
}

// webpHeader is what the chunks say of the pixels.
type webpHeader struct {
	coded    []*io.SectionReader // VP8, VP8L or ALPH
	lossless bool
	alpha    bool
	exif     bool
}

// identifyWebP reads every chunk's head, and the data of those that matter.
func identifyWebP(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	h := &webpHeader{}
	if err := webpChunks(src, lim, func(c riffChunk) error { return in.readWebPChunk(h, c, lim) }); err != nil {
		return nil, err
	}
	cfg, err := webp.DecodeConfig(fromStart(src))
	if err != nil {
		return nil, err
	}
	if err := lim.check(demand{cfg.Width, cfg.Height, h.bytesPerPixel(), 3, src.Size(), 0}); err != nil {
		return nil, err
	}
	in.setSize(cfg.Width, cfg.Height)
	in.Bits, in.Model = 8, RGB
	if !h.lossless {
		in.Subsampling = "4:2:0"
	}
	return func(p *Photo) error { return p.decodeWebP(src, h) }, nil
}

// bytesPerPixel estimates the decoder's peak memory: VP8's planes and macroblocks, with
// alpha also a lossless picture of it and RGB; or a lossless picture and its transforms.
func (h *webpHeader) bytesPerPixel() float64 {
	switch {
	case h.lossless:
		return 9
	case h.alpha:
		return 10
	}
	return 2
}

func (in *Info) readWebPChunk(h *webpHeader, c riffChunk, lim Limits) error {
	switch c.name {
	case "ANIM", "ANMF":
		return unsupported("is an animated WebP, of which no one picture can be chosen here", "export the one picture that you want to print as a TIFF or JPEG")
	case "VP8 ", "VP8L", "ALPH":
		h.lossless = h.lossless || c.name == "VP8L"
		h.alpha = h.alpha || c.name == "ALPH"
		h.coded = append(h.coded, c.data)
	case "ICCP":
		profile, err := readAtMost(c.data, lim.MaxProfileBytes)
		in.setProfile(profile, err == nil && len(profile) > 0)
	case "XMP ":
		b, err := readAtMost(c.data, lim.MaxEXIFBytes)
		in.readXMP(b, err, lim)
	case "EXIF":
		if h.exif {
			return nil
		}
		h.exif = true
		b, err := readAtMost(c.data, lim.MaxEXIFBytes)
		if err == nil {
			err = in.readEXIF(b, lim)
		}
		in.setEXIF(err)
	}
	return nil
}

// readAtMost reads all of a part unless it is longer than max.
func readAtMost(data *io.SectionReader, max int) ([]byte, error) {
	if data.Size() > int64(max) {
		return nil, errLong
	}
	return io.ReadAll(data)
}

// decodeWebP decodes and adopts the picture. Lossy planes stay as they are.
func (p *Photo) decodeWebP(src *io.SectionReader, h *webpHeader) error {
	for _, coded := range h.coded {
		if err := p.checkZeros(coded); err != nil {
			return err
		}
	}
	img, err := webp.Decode(fromStart(src))
	if err != nil {
		return err
	}
	switch m := img.(type) {
	case *image.YCbCr:
		p.video = true
	case *image.NYCbCrA:
		return p.adoptVideoAlpha(m)
	case *image.NRGBA:
		return p.adopt(m)
	default:
		return errors.New("its pixels are of an unknown kind")
	}
	if err := p.adopt(img); err != nil {
		return err
	}
	p.clampVideo()
	return nil
}

// Runs of zeros in coded data. None of the codings here makes long ones of a picture; a
// copy that left out a part does. House judgement.
const (
	zerosOdd     = 64
	zerosMissing = 4096 // a block of a file system
)

// checkZeros refuses coded data of which a part was never copied, and cautions of what may
// be such a part.
func (p *Photo) checkZeros(coded *io.SectionReader) error {
	longest, err := longestZeros(coded)
	switch {
	case err != nil:
		return err
	case longest >= zerosMissing:
		return damaged("is damaged: "+plural.Count(longest, "byte", "bytes")+" of its pixels' data in a row are zeros, so a part was never copied", nil)
	case longest >= zerosOdd:
		p.caution(CautionChanged, plural.Count(longest, "byte", "bytes")+" of the "+p.Format+"'s coded data in a row are zeros, so a part of it may not have been copied. Look for a place from which on the picture is grey, shifted or off in colour.")
	}
	return nil
}

func longestZeros(coded *io.SectionReader) (longest int, err error) {
	r := fromStart(coded)
	for run := 0; ; {
		b, err := r.ReadByte()
		switch {
		case err == io.EOF:
			return longest, nil
		case err != nil:
			return 0, err
		case b != 0:
			run = 0
		default:
			run++
			longest = max(longest, run)
		}
	}
}

// clampVideo brings luma and chroma, which video leaves room beyond, within their range.
func (p *Photo) clampVideo() {
	for c := range p.planes {
		most := byte(videoBlack + videoLuma)
		if c > 0 {
			most = videoBlack + videoChroma
		}
		pl := &p.planes[c]
		for y := range pl.Height {
			row := pl.pix[y*pl.stride:][:pl.Width]
			for x, v := range row {
				row[x] = min(max(v, videoBlack), most)
			}
		}
	}
}

// adoptVideoAlpha makes RGB of a lossy picture with transparent parts, so that these can be
// laid over white. One that is opaque stays as it is.
func (p *Photo) adoptVideoAlpha(m *image.NYCbCrA) error {
	alpha := plane{fine(m.Rect.Dx(), m.Rect.Dy()), m.A, m.AStride, 1, false}
	ycc := &Photo{Info: p.Info, video: true}
	if err := ycc.adopt(&m.YCbCr); err != nil {
		return err
	}
	ycc.clampVideo()
	if alpha.all(alpha.white()) {
		p.planes, p.ycc, p.video = ycc.planes, true, true
		return nil
	}
	w, h := alpha.Width, alpha.Height
	ycc.Width, ycc.Height = w, h // as stored
	p.planes = []plane{newPlane(w, h, false), newPlane(w, h, false), newPlane(w, h, false)}
	row := [][]float32{make([]float32, w), make([]float32, w), make([]float32, w)}
	for y := range h {
		ycc.Row(y, row)
		for c := range p.planes {
			for x, v := range row[c] {
				p.planes[c].pix[y*w+x] = byte(float32(v*255) + 0.5)
			}
		}
	}
	return p.layOverWhite(p.planes, &alpha, false)
}

// endedWebP looks for the end that the head names, and for the coded data before it.
func endedWebP(src *io.SectionReader, lim Limits) error {
	end, err := riffEnd(src)
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return tooShort(src.Size(), 0)
	case fromDisk(err):
		return err
	case err != nil:
		return nil // damaged
	case end > src.Size():
		return tooShort(src.Size(), end)
	}
	var coded *io.SectionReader
	err = webpChunks(src, lim, func(c riffChunk) error {
		if allZero([]byte(c.name)) {
			return noEnd(src)
		}
		switch c.name {
		case "VP8 ", "VP8L", "ANMF":
			coded = c.data
		}
		return nil
	})
	var unended *Unended
	switch {
	case fromDisk(err), errors.As(err, &unended):
		return err
	case err != nil, coded == nil:
		return nil // damaged
	}
	tail, err := tailOf(coded, tailBytes)
	if err != nil {
		return err
	}
	if len(tail) == tailBytes && allZero(tail) {
		return &Unended{"its end is missing: its last pixels are only zeros"}
	}
	return withoutHole(src, end)
}
