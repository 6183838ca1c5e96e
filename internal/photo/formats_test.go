package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	xtiff "golang.org/x/image/tiff"

	"sizewright/internal/hold"
)

// pictureOf writes a small picture in each format that is read. Whoever adds a format adds
// its line, or TestEveryFormatIsComplete fails.
var pictureOf = map[string]func(io.Writer) error{
	formatJPEG: func(w io.Writer) error { return jpeg.Encode(w, marsh16(20, 13), nil) },
	formatPNG:  func(w io.Writer) error { return png.Encode(w, marsh16(20, 13)) },
	formatTIFF: func(w io.Writer) error { return xtiff.Encode(w, marsh16(20, 13), nil) },
	formatWebP: stored("marsh.webp"),
	formatPSD:  stored("marsh.psd"),
	formatHEIF: stored("marsh.heic"),
	formatAVIF: stored("marsh.avif"),
}

// stored is a small picture, 20 x 13, that Go has no encoder for.
func stored(name string) func(io.Writer) error {
	return func(w io.Writer) error {
		b, err := os.ReadFile(filepath.Join("testdata", name))
		if err == nil {
			_, err = w.Write(b)
		}
		return err
	}
}

// Every format is told by each of its magics. One that is read is read under each of its
// suffixes, is seen to be whole and seen to be cut short, has a fuzz corpus, and is named
// in the README; one that is not is a hold that says what it is and what to do.
func TestEveryFormatIsComplete(t *testing.T) {
	readme := string(readFile(t, "../../README.md"))
	for _, f := range formats {
		t.Run(f.name, func(t *testing.T) {
			if f.name == "" || len(f.magics) == 0 || !strings.Contains(readme, f.name) {
				t.Error("it lacks a name, a magic or its mention in README.md")
			}
			for _, m := range f.magics {
				head := m.head()
				if got := formatBy(head); got == nil || got.name != f.name {
					t.Errorf("%q is taken for %v", m.bytes, got)
				}
				if f.held != nil {
					isHeld(t, &f, head)
				}
			}
			if read := f.identify != nil; read != (f.whole != nil) || read != (f.held == nil) || read != (len(f.suffixes) > 0) {
				t.Fatal("it is neither read nor held")
			}
			if f.held == nil {
				isRead(t, &f)
			}
		})
	}
}

// head is what a file with this magic begins with.
func (m magic) head() []byte { return append(make([]byte, m.at), m.bytes+m.also...) }

func isHeld(t *testing.T, f *format, file []byte) {
	t.Helper()
	path := writeFile(t, filepath.Join(t.TempDir(), "marsh.jpg"), file)
	for name, try := range tries(path) {
		var no *hold.Hold
		if err := try(); !errors.As(err, &no) || no.Remedy == "" || !strings.HasPrefix(no.Text, "marsh.jpg is a") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := ended(file, DefaultLimits()); err != nil {
		t.Errorf("it would never be taken, and so never be told: %v", err)
	}
}

func isRead(t *testing.T, f *format) {
	t.Helper()
	var b bytes.Buffer
	write := pictureOf[f.name]
	if write == nil {
		t.Fatal("there is no picture to try it with: add it to pictureOf")
	}
	must(t, write(&b))
	for _, suffix := range f.suffixes {
		p := open(t, writeFile(t, filepath.Join(t.TempDir(), "marsh"+suffix), b.Bytes()))
		if p.Format != f.name || p.Width != 20 || p.Height != 13 || slices.ContainsFunc(p.Cautions, func(c Caution) bool { return c.Code != CautionNoChecksum.Code }) {
			t.Errorf("marsh%s is read as %+v", suffix, p.Info)
		}
	}
	if err := ended(b.Bytes(), DefaultLimits()); err != nil {
		t.Errorf("a whole file: %v", err)
	}
	for part := 2; part < 16; part++ {
		cut := b.Bytes()[:b.Len()*part/16]
		var u *Unended
		if err := ended(cut, DefaultLimits()); !errors.As(err, &u) {
			t.Errorf("%d of 16 parts of a file: %v", part, err)
		}
		var e *Error
		path := writeFile(t, filepath.Join(t.TempDir(), "cut.jpg"), cut)
		if _, err := Open(path, DefaultLimits()); !errors.As(err, &e) || e.Remedy == "" || !strings.HasPrefix(e.Text, "cut.jpg is ") {
			t.Errorf("%d of 16 parts of a file: %v", part, err)
		}
	}
	if inputs, err := os.ReadDir(filepath.Join("testdata/fuzz", "Fuzz"+f.name)); err != nil || len(inputs) == 0 {
		t.Errorf("there is no fuzz corpus: %v", err)
	}
	if tests := string(readFile(t, "fuzz_test.go")); !strings.Contains(tests, fmt.Sprintf("func Fuzz%s(f *testing.F)", f.name)) {
		t.Errorf("there is no fuzz target Fuzz%s", f.name)
	}
}

// An SVG is told behind its XML declaration, and other XML beside a picture is not.
func TestOnlyAnSVGIsADrawing(t *testing.T) {
	for text, want := range map[string]error{
		"<?xml version=\"1.0\"?>\n<!-- a plan -->\n<svg width=\"4\"/>": Unsupported,
		"<?xml version=\"1.0\"?>\n<x:xmpmeta/>":                        NotAnImage,
	} {
		if _, err := Open(writeFile(t, filepath.Join(t.TempDir(), "plan.svg"), []byte(text)), DefaultLimits()); !is(err, want) {
			t.Errorf("%q: %v, want %v", text, err, want)
		}
	}
}
