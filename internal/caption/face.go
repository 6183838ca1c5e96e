package caption

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"syscall"

	"golang.org/x/image/font/gofont/goregular"

	"sizewright/internal/remedy"
)

// A Face is a font that captions are set in. It does not change, and is safe for concurrent
// use. A nil Face is the built-in one.
type Face struct {
	Name   string // of its file
	SHA256 string // of its bytes, in hexadecimal
	data   []byte
}

// BuiltIn is the face of captions that name no other.
var BuiltIn *Face

// maxBytes is more than the fonts of the largest scripts have, some 25 MB (common practice,
// no source).
const maxBytes = 64 << 20

// Open reads a TrueType or OpenType font. The error names the file, the fault and the
// remedy.
func Open(path string) (*Face, error) {
	name := filepath.Base(path)
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0) // a named pipe must not block
	if err != nil {
		return nil, remedy.Errorf("put it there, or correct the path", "%s: the font cannot be opened (%w)", name, err)
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
	case !info.Mode().IsRegular():
		err = errors.New("it is not a regular file")
	case info.Size() > maxBytes:
		err = fmt.Errorf("it has %d MB, more than any font", info.Size()>>20)
	}
	var data []byte
	if err == nil {
		data, err = io.ReadAll(io.LimitReader(f, maxBytes))
	}
	if err == nil {
		err = drawable(data)
	}
	if err != nil {
		return nil, remedy.Errorf("name a TrueType or OpenType font (.ttf or .otf) with outlines", "%s: it cannot be used for captions: %w", name, err)
	}
	sum := sha256.Sum256(data)
	return &Face{Name: name, SHA256: hex.EncodeToString(sum[:]), data: data}, nil
}

// drawable returns an error if the bytes are no font, or one without outlines of letters.
func drawable(data []byte) error {
	if bytes.HasPrefix(data, []byte("ttcf")) {
		return errors.New("it is a collection of fonts")
	}
	s, err := (&Face{data: data}).setter(MaxPX)
	if err != nil {
		return err
	}
	if len(s.glyph('0').outline)+len(s.glyph('n').outline) == 0 {
		return errors.New("it has no outlines for letters")
	}
	return nil
}

// Bytes are those of the face's file; do not change them.
func (f *Face) Bytes() []byte {
	if f == nil {
		return goregular.TTF
	}
	return f.data
}

// Digest returns the SHA-256 of the face's file, "" of the built-in one.
func (f *Face) Digest() string {
	if f == nil {
		return ""
	}
	return f.SHA256
}

// A meter lets a font be read up to a limit, for a few bytes of a font can make its reader
// go on for years: a subroutine that calls another thirty times, ten deep.
type meter struct {
	data io.ReaderAt
	left int // bytes
}

// What one step may read, in bytes: opening a font, and a letter.
const (
	parsing = 4 * maxBytes
	drawing = 1 << 20
)

var errEndless = errors.New("reading it takes too long")

func (m *meter) ReadAt(p []byte, at int64) (int, error) {
	const call = 64 // what a read costs beside its bytes
	if m.left -= len(p) + call; m.left < 0 {
		return 0, errEndless
	}
	return m.data.ReadAt(p, at)
}

// safely does a step within its limit. A crash of the font's reader is an error.
func (s *setter) safely(limit int, step func() error) (err error) {
	defer func() {
		if crash := recover(); crash != nil {
			err = fmt.Errorf("it is damaged: %v", crash)
		}
	}()
	s.meter.left = limit
	return step()
}
