package photo

import (
	"bufio"
	"compress/zlib"
	"io"

	"golang.org/x/image/tiff/lzw"
)

// Compressions of TIFF 6.0 and Adobe's supplement that are read.
const (
	compressionNone       = 1
	compressionLZW        = 5
	compressionDeflate    = 8
	compressionPackBits   = 32773
	compressionOldDeflate = 32946
)

// unpacker opens one strip or tile after another, keeping what it can reuse.
type unpacker struct {
	src         *metered
	compression uint32
	in          *bufio.Reader
	inflate     io.ReadCloser
}

// metered counts what is read of a file. A packed strip can be long and yet unpack to
// nothing, and any number of strips can lie over one another: that would cost their
// number times their length. A sound file is read once; a small one may share a
// blank strip.
type metered struct {
	io.ReaderAt
	left int64 // bytes that may still be read
}

// meter allows more than a sound file needs, and too little to matter.
func meter(src io.ReaderAt, size int64) *metered { return &metered{src, 2*size + 4<<20} }

func (m *metered) ReadAt(b []byte, at int64) (int, error) {
	n, err := m.ReaderAt.ReadAt(b, at)
	if m.left -= int64(n); m.left < 0 {
		return 0, damaged("is damaged: its strips or tiles lie over one another", nil)
	}
	return n, err
}

// open returns the uncompressed bytes of the block that lies at an offset and
// is count bytes long. They are streamed, so a block that unpacks to more than
// is asked of it costs nothing.
func (u *unpacker) open(offset, count int64) (io.Reader, error) {
	section := io.NewSectionReader(u.src, offset, count)
	if u.in == nil {
		u.in = bufio.NewReaderSize(section, 64<<10)
	} else {
		u.in.Reset(section)
	}
	switch u.compression {
	case compressionLZW:
		if first, _ := u.in.Peek(2); oldLZW(first) {
			return nil, tiffNotRead("a TIFF of LZW as it was before TIFF 5.0")
		}
		return lzw.NewReader(u.in, lzw.MSB, 8), nil
	case compressionDeflate, compressionOldDeflate:
		return u.openDeflate()
	case compressionPackBits:
		return &packBits{in: u.in}, nil
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
