package photo

import (
	"compress/zlib"
	"errors"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// What a decoder says of the bytes is for programmers.
func TestADecodersWordsReachNobody(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{jpeg.FormatError("bad Huffman code"), "is damaged: the JPEG cannot be decoded (its compressed data are damaged)"},
		{jpeg.FormatError("bad Tq value"), "is damaged: the JPEG cannot be decoded"},
		{jpeg.UnsupportedError("luma/chroma subsampling ratio"), "is a sort of JPEG that is not read here (its colour has a resolution of an unusual kind)"},
		{png.FormatError("invalid checksum"), "is damaged: the JPEG cannot be decoded (the checksum of one of its parts is wrong)"},
		{png.UnsupportedError("compression method"), "is a sort of JPEG that is not read here"},
		{zlib.ErrChecksum, "is damaged: the JPEG cannot be decoded (its compressed data are damaged)"},
		{errors.New("its size changes half way"), "is damaged: the JPEG cannot be decoded (its size changes half way)"},
	} {
		var e *Error
		if err := decodeFault("JPEG", c.err); !errors.As(err, &e) || strings.TrimSpace(e.Text) != c.want {
			t.Errorf("%v is told as %v, want %s", c.err, err, c.want)
		}
	}
}
