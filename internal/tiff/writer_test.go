package tiff

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// memFile is a file in memory that fails after room bytes, if room is set.
type memFile struct {
	b    []byte
	pos  int
	room int
}

var errFull = errors.New("no space left")

func (m *memFile) Write(p []byte) (int, error) {
	if m.room > 0 && m.pos+len(p) > m.room {
		return 0, errFull
	}
	if grow := m.pos + len(p) - len(m.b); grow > 0 {
		m.b = append(m.b, make([]byte, grow)...)
	}
	m.pos += copy(m.b[m.pos:], p)
	return len(p), nil
}

func (m *memFile) Seek(offset int64, whence int) (int64, error) {
	m.pos = int(offset) + map[int]int{io.SeekStart: 0, io.SeekCurrent: m.pos, io.SeekEnd: len(m.b)}[whence]
	return int64(m.pos), nil
}

// put encodes a picture and writes n strips of it.
func put(t *testing.T, w *Writer, n int) {
	t.Helper()
	px := marsh(w.h.Width, w.h.Height, w.h.Photometric.Samples())
	e := w.h.NewEncoder()
	for i := range n {
		b, err := encodeStrip(e, nil, px, i)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.WriteStrip(b); err != nil {
			t.Fatal(err)
		}
	}
}

func begin(t *testing.T, f io.WriteSeeker, h Header) *Writer {
	t.Helper()
	w, err := NewWriter(f, h)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// wantError checks that the error contains the words.
func wantError(t *testing.T, err error, words string) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), words) {
		t.Errorf("error is %v, want a sentence with %q", err, words)
	}
}

func TestStripsMustBeAllThereAndNoMore(t *testing.T) {
	h := header(60, 40, 16, RGB, Deflate)
	w := begin(t, new(memFile), h)
	put(t, w, 5)
	wantError(t, w.Close(), "5 of its 6 strips")

	w = begin(t, new(memFile), h)
	put(t, w, 6)
	wantError(t, w.WriteStrip([]byte{1}), "all of its 6 strips")
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	wantError(t, w.WriteStrip([]byte{1}), "already complete")
	wantError(t, w.Close(), "already complete")
}

func TestAStripOfImpossibleSizeIsRefused(t *testing.T) {
	w := begin(t, new(memFile), header(60, 40, 16, RGB, None))
	wantError(t, w.WriteStrip(make([]byte, 60*7*6-1)), "2519 bytes; uncompressed, its 7 rows have 2520")
	w = begin(t, new(memFile), header(60, 40, 16, RGB, LZW))
	wantError(t, w.WriteStrip(nil), "0 bytes")
	wantError(t, w.WriteStrip(make([]byte, 60*7*6*2)), "its 7 rows compressed by lzw have 1 to 37")
}

func TestAFileMustBeEmpty(t *testing.T) {
	_, err := NewWriter(&memFile{b: make([]byte, 5)}, header(60, 40, 16, RGB, None))
	wantError(t, err, "already holds 5 bytes")
}

func TestAFullDiskIsSaidAndStays(t *testing.T) {
	h := header(60, 40, 16, RGB, None)
	for room, words := range map[int]string{
		15:                "the first bytes",
		16 + 60*14*6 + 1:  "strip 3 of 6",
		16 + 60*40*6 + 20: "directory",
	} {
		f := &memFile{room: room}
		w, err := NewWriter(f, h)
		if err == nil {
			px := marsh(60, 40, 3)
			e := h.NewEncoder()
			for i := 0; i < h.Strips() && err == nil; i++ {
				b, _ := encodeStrip(e, nil, px, i)
				err = w.WriteStrip(b)
			}
			if err == nil {
				err = w.Close()
			}
			if again := w.Close(); !errors.Is(again, err) {
				t.Errorf("room for %d bytes: Close then says %v", room, again)
			}
		}
		wantError(t, err, words)
		if !errors.Is(err, errFull) {
			t.Errorf("room for %d bytes: the cause is lost from %v", room, err)
		}
	}
}

// An incomplete file must not be taken for a print.
func TestUntilClosedItIsNoTIFF(t *testing.T) {
	f := new(memFile)
	w := begin(t, f, header(60, 40, 16, RGB, None))
	put(t, w, 6)
	if !bytes.Equal(f.b[:headerBytes], make([]byte, headerBytes)) {
		t.Errorf("header before Close is % x", f.b[:headerBytes])
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(f.b, []byte("II\x2a\x00")) {
		t.Errorf("header after Close is % x", f.b[:headerBytes])
	}
}

// A file is classic as long as its last byte, including the directory, is below the limit;
// with a limit one byte lower it is a BigTIFF.
func TestTheWholeFileDecidesAboutBigTIFF(t *testing.T) {
	h := full(RGB, 16, None)
	px := marsh(h.Width, h.Height, 3)
	_, w := writeFile(t, h, px, classicLimit)
	size := w.Size()
	for limit, big := range map[int64]bool{
		size + 1:          false,
		size:              true,
		16 + 33*40*6 + 10: true, // in the middle of the directory
		16 + 33*40*6:      true, // where the strips end
		1000:              true,
	} {
		if _, w := writeFile(t, h, px, limit); w.Big() != big {
			t.Errorf("limit %d, size %d: BigTIFF is %v", limit, size, w.Big())
		}
	}
}

// sparseFile leaves holes for whole strips of zeros, so that files beyond 4 GiB need
// neither disk space nor time.
type sparseFile struct {
	*os.File
	hole int // length of a write that is zeros
}

func (f sparseFile) Write(p []byte) (int, error) {
	if len(p) != f.hole {
		return f.File.Write(p)
	}
	_, err := f.Seek(int64(len(p)), io.SeekCurrent)
	return len(p), err
}

// Real offsets around 4 GiB, with the real limit: 65 strips of 64 MiB, plus or minus one
// row of 16 KiB.
func TestFilesAboutFourGiB(t *testing.T) {
	const width, rows = 16 << 10, 4 << 10
	strip := make([]byte, width*rows)
	for height, big := range map[int]bool{64*rows - 1: false, 64 * rows: true, 64*rows + 1: true} {
		f, err := os.Create(filepath.Join(t.TempDir(), "print.tif"))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		h := header(width, height, 8, Grey, None)
		h.RowsPerStrip = rows
		w := begin(t, sparseFile{f, len(strip)}, h)
		for i := range h.Strips() {
			s := strip[:h.StripRows(i)*width]
			if len(s) < len(strip) {
				s = bytes.Repeat([]byte{0x5a}, len(s))
			}
			if err := w.WriteStrip(s); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if w.Big() != big {
			t.Errorf("%d bytes: BigTIFF is %v", w.Size(), w.Big())
		}
		if stdout, stderr := tool(t, "tiffinfo", "-s", f.Name()); stderr != "" || !strings.Contains(stdout, "Strips:") {
			t.Errorf("%d bytes: tiffinfo says %s%s", w.Size(), stdout, stderr)
		}
	}
}
