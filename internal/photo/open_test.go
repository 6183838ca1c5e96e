package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"syscall"
	"testing"

	xtiff "golang.org/x/image/tiff"
)

func is(err error, kind error) bool { return errors.Is(err, kind) }

// tries are the two doors of the package, which must give the same answer.
func tries(path string) map[string]func() error {
	return map[string]func() error{
		"Identify": func() error { _, err := Identify(path, DefaultLimits()); return err },
		"Open":     func() error { _, err := Open(path, DefaultLimits()); return err },
	}
}

// What people drop by mistake, and what breaks on the way: each is answered
// with its kind and with a sentence that names the file and what to do.
func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	write := func(b string) func(string) {
		return func(path string) { writeFile(t, path, []byte(b)) }
	}
	tests := []struct {
		file string
		make func(path string)
		kind error
		says string
	}{
		{"gone.jpg", func(string) {}, Unreadable, "is no longer there; drop it again"},
		{"empty.jpg", write(""), Unfinished, "empty"},
		{"folder.jpg", func(path string) { must(t, os.Mkdir(path, 0o700)) }, NotAFile, "is a folder"},
		{"link.jpg", func(path string) { must(t, os.Symlink("/etc/passwd", path)) }, NotAFile, "is a link"},
		{"pipe.jpg", func(path string) { must(t, syscall.Mkfifo(path, 0o600)) }, NotAFile, "not an ordinary file"},
		{"text.jpg", write("a list of sizes\n"), NotAnImage, "drop a JPEG, a PNG or a TIFF"},
		{"one byte.tif", write("I"), NotAnImage, "not a picture"},
		{"start.jpg", write("\xff\xd8\xff"), Damaged, "cut short"},
		{"start.png", write("\x89PNG\r\n\x1a\n"), Damaged, "cut short"},
		{"start.tif", write("II*\x00"), Damaged, "is damaged"},
		{"no picture.jpg", write("\xff\xd8\xff\xd9"), Damaged, "a header but no picture"},
		{"nowhere.tif", write("II*\x00\xff\xff\xff\x7f"), Damaged, "outside the file"},
		{"huge.jpg", write(hugeJPEG), TooLarge, "65000 x 65000"},
		{"huge.png", write(hugePNG), TooLarge, "2000000 x 1000"},
		{"raw.jpg", write("II*\x00\x10\x00\x00\x00CR\x02\x00"), Undeveloped, "a camera raw file"},
		{"raw.cr3", write("\x00\x00\x00\x18ftypcrx \x00"), Undeveloped, "a camera raw file"},
		{"phone.heic", write("\x00\x00\x00\x18ftypheic\x00"), Damaged, "cut short"},
		{"web.webp", write("RIFF\x00\x00\x00\x00WEBPVP8 "), Damaged, "WebP"},
		{"start.psd", write("8BPS\x00\x01"), Damaged, "PSD"},
		{"12 bit.jpg", write(jpegStart("\xff\xc1\x00\x0b\x0c\x00\x08\x00\x08\x01\x01\x11\x00")), Unsupported, "more than 8 bits"},
		{"arithmetic.jpg", write(jpegStart("\xff\xc9\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00")), Unsupported, "arithmetic"},
	}
	for _, tt := range tests {
		path := filepath.Join(dir, tt.file)
		tt.make(path)
		for name, try := range tries(path) {
			err := try()
			if !is(err, tt.kind) || !strings.Contains(fmt.Sprint(err), tt.says) {
				t.Errorf("%s of %s: %v; want %s, saying %q", name, tt.file, err, tt.kind, tt.says)
				continue
			}
			if !strings.HasPrefix(err.Error(), tt.file+" ") || !strings.Contains(err.Error(), "; ") {
				t.Errorf("%q does not name the file first and end with a remedy", err)
			}
		}
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// jpegStart is a JPEG of the given frame header and an empty scan.
func jpegStart(frame string) string {
	return "\xff\xd8" + frame + "\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\xff\xd9"
}

// Headers that ask for gigabytes in a few bytes.
var (
	hugeJPEG = jpegStart("\xff\xc0\x00\x11\x08\xfd\xe8\xfd\xe8\x03\x01\x11\x00\x02\x11\x00\x03\x11\x00")
	hugePNG  = "\x89PNG\r\n\x1a\n" +
		string(makeChunk("IHDR", "\x00\x1e\x84\x80\x00\x00\x03\xe8\x08\x02\x00\x00\x00")) +
		string(makeChunk("IEND", ""))
)

// A kind is found by errors.Is, and so is what the system said.
func TestErrorsCanBeTold(t *testing.T) {
	_, err := Open(filepath.Join(t.TempDir(), "marsh.jpg"), DefaultLimits())
	var e *Error
	if !errors.As(err, &e) || e.Code != Unreadable.Code || !strings.HasPrefix(e.Text, "marsh.jpg ") || !errors.Is(err, fs.ErrNotExist) || errors.Is(err, Damaged) {
		t.Errorf("%#v", err)
	}
}

// A decoder that panics costs one picture, not the night.
func TestPanicsAreContained(t *testing.T) {
	err := named("marsh.jpg", guard(func() error {
		var none []byte
		_ = none[len(os.Args)]
		return nil
	}))
	if !is(err, Damaged) || !strings.HasPrefix(err.Error(), "marsh.jpg is damaged") {
		t.Errorf("got %v", err)
	}
}

// The format is told by content; a suffix that says otherwise is cautioned of.
func TestSuffixIsNotBelieved(t *testing.T) {
	var j, p, ti bytes.Buffer
	img := image.NewGray(image.Rect(0, 0, 8, 8))
	must(t, jpeg.Encode(&j, img, nil))
	must(t, png.Encode(&p, img))
	must(t, xtiff.Encode(&ti, img, nil))
	content := map[string][]byte{"JPEG": j.Bytes(), "PNG": p.Bytes(), "TIFF": ti.Bytes()}
	tests := []struct {
		file, format string
		want         []string
	}{
		{"a.jpg", "JPEG", nil}, {"a.JPEG", "JPEG", nil}, {"a.jpe", "JPEG", nil},
		{"a.png", "PNG", nil}, {"a.TIF", "TIFF", nil}, {"a.tiff", "TIFF", nil},
		{"a.png", "JPEG", []string{CautionWrongSuffix.Code}},
		{"a.jpg", "PNG", []string{CautionWrongSuffix.Code}},
		{"a.jpg", "TIFF", []string{CautionWrongSuffix.Code}},
		{"a", "JPEG", []string{CautionWrongSuffix.Code}},
		{"a.txt", "JPEG", []string{CautionWrongSuffix.Code}},
	}
	for _, tt := range tests {
		path := writeFile(t, filepath.Join(t.TempDir(), tt.file), content[tt.format])
		p := open(t, path)
		if p.Format != tt.format || p.Model != Grey || !slices.Equal(codes(&p.Info), tt.want) {
			t.Errorf("%s holding a %s: read as %s %s, cautions %v", tt.file, tt.format, p.Format, p.Model, p.Cautions)
		}
	}
}

// A caller that forgets to give limits is told at once.
func TestWithoutLimitsNothingIsRead(t *testing.T) {
	path := marshFile(t, t.TempDir(), 30, 20)
	if _, err := Open(path, Limits{}); !is(err, TooLarge) {
		t.Error(err)
	}
	if _, err := Identify(path, Limits{}); !is(err, TooLarge) {
		t.Error(err)
	}
}

// Identify and Open say the same of a picture.
func TestIdentifyIsOpenWithoutPixels(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 50, 30)
	var files []string
	for _, suffix := range []string{"jpg", "png", "tif"} {
		path := filepath.Join(dir, "v."+suffix)
		run(t, "convert", base, path)
		files = append(files, path)
	}
	run(t, "exiftool", append([]string{"-q", "-n", "-overwrite_original", "-EXIF:Orientation=6", "-EXIF:Model=Heron 2", "-EXIF:ISO=200"}, files...)...)
	for _, path := range files {
		suffix := filepath.Ext(path)
		in, err := Identify(path, DefaultLimits())
		if err != nil {
			t.Fatal(err)
		}
		if opened := open(t, path).Info; !reflect.DeepEqual(*in, opened) {
			t.Errorf("%s: %+v\nbut opened: %+v", suffix, *in, opened)
		}
		if in.Width != 30 || in.Height != 50 || in.EXIF.Camera != "Heron 2" || in.EXIF.ISO != 200 {
			t.Errorf("%s: %+v", suffix, in)
		}
	}
}
