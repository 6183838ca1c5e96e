package photo

import (
	"bufio"
	"compress/zlib"
	"io"

	"github.com/klauspost/compress/zstd"
	"golang.org/x/image/tiff/lzw"
)

// Compressions of TIFF 6.0, Adobe's supplement and libtiff that are read.
const (
	compressionNone       = 1
	compressionLZW        = 5
	compressionJPEG       = 7
	compressionDeflate    = 8
	compressionPackBits   = 32773
	compressionOldDeflate = 32946
	compressionZSTD       = 50000
)

// unpacker opens one strip or tile after another and reuses its buffers.
type unpacker struct {
	src         *io.SectionReader
	compression uint64
	left        int64 // bytes of blocks that may still be opened
	in          *bufio.Reader
	inflate     io.ReadCloser
	zstd        *zstd.Decoder
}

// newUnpacker limits how much is read in all. A long strip can unpack to nothing, and any
// number of strips can lie in one place, so a hostile file could cost their number times
// their length. A sound file is read once, or more often if it is small and its blank
// strips share one place. The limit allows more than that needs.
func newUnpacker(src *io.SectionReader, compression uint64) unpacker {
	return unpacker{src: src, compression: compression, left: 2*src.Size() + 4<<20}
}

// open returns the uncompressed bytes of the block of count bytes at an offset. They are
// streamed, so a block that unpacks to more than its pixels costs nothing.
func (u *unpacker) open(offset, count int64) (io.Reader, error) {
	count = min(count, max(0, u.src.Size()-offset))
	if u.left -= count; u.left < 0 {
		return nil, damaged("is damaged: its strips or tiles lie over one another", nil)
	}
	section := io.NewSectionReader(u.src, offset, count)
	if u.in == nil {
		u.in = bufio.NewReaderSize(section, 64<<10)
	} else {
		u.in.Reset(section)
	}
	switch u.compression {
	case compressionLZW:
		if first, _ := u.in.Peek(2); oldLZW(first) {
			return nil, tiffNotRead("a TIFF with LZW from before TIFF 5.0")
		}
		return lzw.NewReader(u.in, lzw.MSB, 8), nil
	case compressionDeflate, compressionOldDeflate:
		return u.openDeflate()
	case compressionPackBits:
		return &packBits{in: u.in}, nil
	case compressionZSTD:
		return u.openZSTD()
	}
	return u.in, nil
}

func (u *unpacker) openDeflate() (io.Reader, error) {
	if u.inflate != nil {
		return u.inflate, noEOF(u.inflate.(zlib.Resetter).Reset(u.in, nil))
	}
	z, err := zlib.NewReader(u.in)
	u.inflate = z
	return z, noEOF(err)
}

// openZSTD reads RFC 8878 in this goroutine alone, with little memory.
func (u *unpacker) openZSTD() (io.Reader, error) {
	if u.zstd != nil {
		return u.zstd, u.zstd.Reset(u.in)
	}
	const mostWindow = 128 << 20 // of libtiff's highest level
	z, err := zstd.NewReader(u.in, zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true), zstd.WithDecoderMaxWindow(mostWindow))
	u.zstd = z
	return z, err
}

// packBits unpacks TIFF 6.0, section 9: a count byte n, then n+1 bytes as they
// are (0 to 127) or one byte 1-n times (-1 to -127).
type packBits struct {
	in     *bufio.Reader
	left   int // bytes left of the current run
	repeat bool
	value  byte
}

func (p *packBits) Read(dst []byte) (n int, err error) {
	if p.left == 0 {
		if err := p.run(); err != nil {
			return 0, err
		}
	}
	n = min(p.left, len(dst))
	if p.repeat {
		for i := range n {
			dst[i] = p.value
		}
	} else if n, err = p.in.Read(dst[:n]); err != nil {
		return n, noEOF(err)
	}
	p.left -= n
	return n, nil
}

// run reads the head of the next run.
func (p *packBits) run() error {
	for {
		b, err := p.in.ReadByte()
		if err != nil {
			return err
		}
		switch count := int(int8(b)); {
		case count >= 0:
			p.left, p.repeat = count+1, false
			return nil
		case count > -128: // -128 is no operation
			p.left, p.repeat = 1-count, true
			p.value, err = p.in.ReadByte()
			return noEOF(err)
		}
	}
}
