package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	xtiff "golang.org/x/image/tiff"
)

// ended asks Ended of bytes in memory.
func ended(b []byte, lim Limits) error {
	return Ended(bytes.NewReader(b), int64(len(b)), lim)
}

func isUnended(err error) bool {
	var u *Unended
	return errors.As(err, &u)
}

// smallFiles are whole files of each format, made by different programs, with
// what matters at their end.
func smallFiles(t testing.TB) map[string][]byte {
	t.Helper()
	img := marsh16(20, 13)
	var j, p, z, plain bytes.Buffer
	for _, err := range []error{
		jpeg.Encode(&j, img, nil),
		png.Encode(&p, img),
		xtiff.Encode(&z, img, &xtiff.Options{Compression: xtiff.Deflate, Predictor: true}),
		xtiff.Encode(&plain, image.NewGray16(image.Rect(0, 0, 9, 7)), nil), // black: all zeros
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	thumbnail := slices.Concat([]byte(exifHead), make([]byte, 40), j.Bytes())
	app1 := slices.Concat([]byte{0xff, markerAPP1, byte((len(thumbnail) + 2) >> 8), byte(len(thumbnail) + 2)}, thumbnail)
	return map[string][]byte{
		"a JPEG":                         j.Bytes(),
		"a JPEG with a JPEG in its EXIF": slices.Concat(j.Bytes()[:2], app1, j.Bytes()[2:]),
		"a PNG":                          p.Bytes(),
		"a deflated TIFF":                z.Bytes(),
		"a TIFF of black":                plain.Bytes(),
		"a TIFF, directory first":        directoryFirst(),
		"a TIFF, directory last":         greyDirectory(),
		"a TIFF of two pages":            twoPages(),
		"a TIFF with EXIF at its end":    exifLast(),
	}
}

// directoryFirst is a TIFF whose pixels are its end.
func directoryFirst() []byte {
	b := greyDirectory()
	b = greyDirectory(long(tagStripOffsets, uint32(len(b))))
	return append(b, "the salt marsh at"[:16]...)
}

// twoPages is a TIFF of two directories, the second with its pixels at the end.
func twoPages() []byte {
	b := directoryFirst()
	first := len(greyDirectory())
	binary.LittleEndian.PutUint32(b[first-4:], uint32(len(b)))
	second := greyDirectory(long(tagStripOffsets, uint32(len(b)+first-8)))[8:]
	return slices.Concat(b, second, []byte("an estuary's bed"))
}

// packedStrip is a TIFF, directory first, of one deflated strip, which only
// decoding would find to be none.
func packedStrip(strip string) []byte {
	changes := []string{short(tagCompression, compressionDeflate), long(tagStripByteCounts, uint32(len(strip)))}
	n := len(greyDirectory(changes...))
	return append(greyDirectory(append(changes, long(tagStripOffsets, uint32(n)))...), strip...)
}

// exifLast is a TIFF with its EXIF directory, which has no link, at the end.
func exifLast() []byte {
	b := greyDirectory(long(34665, 0))
	b = greyDirectory(long(34665, uint32(len(b))))
	block := tiffBlock(0, makeReed)
	return append(b, block[8:len(block)-4]...)
}

// Cut anywhere, a file is not whole.
func TestNoBeginningOfAFileIsWhole(t *testing.T) {
	for name, b := range smallFiles(t) {
		if err := ended(b, DefaultLimits()); err != nil {
			t.Errorf("%s, whole: %v", name, err)
		}
		for n := range b {
			if err := ended(b[:n], DefaultLimits()); !isUnended(err) {
				t.Errorf("%s, %d bytes of %d: %v", name, n, len(b), err)
			}
		}
	}
}

// A copy program that sets the size first leaves zeros until it has come there.
func TestZerosAreNoEnd(t *testing.T) {
	for name, b := range smallFiles(t) {
		if strings.HasPrefix(name, "a TIFF") {
			continue // plain samples may be zero
		}
		last := len(b)
		if name == "a deflated TIFF" {
			last -= 40 // values that may be zero
		}
		for n := range b[:last] {
			if allZero(b[n:]) {
				break // nothing but zeros was to come
			}
			set := make([]byte, len(b))
			copy(set, b[:n])
			if err := ended(set, DefaultLimits()); !isUnended(err) {
				t.Errorf("%s, zero from %d of %d: %v", name, n, len(b), err)
			}
		}
	}
}

// Files of other programs, and of many cameras, are whole, and cut they are not.
func TestFilesOfOtherProgramsAreWhole(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 150, 131)
	paths := append(cameraSamples(t, "samples/*.jpg"), base)
	for name, args := range map[string][]string{
		"progressive.jpg": {"-interlace", "JPEG"}, "grey.jpg": {"-colorspace", "Gray"}, "interlaced.png": {"-interlace", "PNG"},
		"strips.tif": {"-compress", "LZW"}, "planes.tif": {"-interlace", "Plane", "-compress", "Zip"}, "ink.tif": {"-colorspace", "CMYK", "-compress", "None"},
		"jpeg inside.tif": {"-compress", "JPEG", "-depth", "8"}, "bilevel.tif": {"-monochrome", "-compress", "Group4"},
	} {
		path := filepath.Join(dir, name)
		run(t, "convert", slices.Concat([]string{base}, args, []string{path})...)
		paths = append(paths, path)
	}
	tiles := filepath.Join(dir, "tiles.tif")
	run(t, "tiffcp", "-t", "-w", "64", "-l", "48", "-c", "zip", filepath.Join(dir, "strips.tif"), tiles)
	for _, path := range append(paths, tiles) {
		b := readFile(t, path)
		if err := ended(b, DefaultLimits()); err != nil {
			t.Errorf("%s: %v", filepath.Base(path), err)
		}
		for i := range 40 {
			if n := len(b) * i / 40; !isUnended(ended(b[:n], DefaultLimits())) {
				t.Errorf("%s cut at %d of %d: whole", filepath.Base(path), n, len(b))
			}
		}
	}
}

// What is added after a picture's end is not its end, and does not hide it.
func TestWhatFollowsTheEnd(t *testing.T) {
	files := smallFiles(t)
	j, p, second := files["a JPEG"], files["a PNG"], files["a JPEG with a JPEG in its EXIF"]
	film := "\x00\x00\x00\x18ftypmp42" + strings.Repeat("\xff\x00film", 30_000)
	noEnd := j[:len(j)-2]
	tests := []struct {
		name  string
		bytes string
		whole bool
	}{
		{"a card's last block", string(j) + strings.Repeat("\x00", 512), true},
		{"a card's last cluster", string(j) + strings.Repeat("\x00", 128<<10), true},
		{"a new line", string(j) + "\r\n", true},
		{"a film", string(j) + film, true},
		{"a second picture", string(j) + string(second), true},
		{"a second picture, cut after the small one in its EXIF", string(j) + string(second[:48+len(j)]), true},
		{"no end, then a card's cluster", string(noEnd) + strings.Repeat("\x00", 128<<10), false},
		{"no end, then a new line", string(noEnd) + "\n", false},
		{"no picture's data, but what looks like an end", string(j[:2]) + "\xff\xda\x00\x08\x01\xff\xd9", false},
		{"after a PNG", string(p) + strings.Repeat("\x00", 128<<10), true},
		{"a film after a PNG", string(p) + film, true},
	}
	for _, tt := range tests {
		err := ended([]byte(tt.bytes), DefaultLimits())
		if tt.whole && err != nil || !tt.whole && !isUnended(err) {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
}

// Damage is not for Ended to find: whoever waited for it to heal would wait
// for ever. Nor are other formats, and what is too large to be read.
func TestWhatWillNeverBeBetterIsWhole(t *testing.T) {
	j := string(smallFiles(t)["a JPEG"])
	p := string(smallFiles(t)["a PNG"])
	few := DefaultLimits()
	few.MaxSegments, few.MaxDirectories, few.MaxBlocks, few.MaxIFDEntries = 3, 1, 1, 3
	small := DefaultLimits()
	small.MaxFileBytes = 100
	for _, tt := range []struct {
		name, bytes string
		lim         Limits
	}{
		{"words", "x", DefaultLimits()},
		{"more words", "Interesting", DefaultLimits()},
		{"huge JPEG", hugeJPEG, DefaultLimits()},
		{"huge PNG", hugePNG, DefaultLimits()},
		{"a JPEG with no picture", "\xff\xd8\xff\xd9", DefaultLimits()},
		{"a JPEG with a broken segment", j[:20] + "\xff\xe5\x00\x00" + j[20:], DefaultLimits()},
		{"a PNG with a broken chunk", p[:33] + "    " + p[37:], DefaultLimits()},
		{"a TIFF whose strip is no strip", string(packedStrip("twenty bytes of pixels")), DefaultLimits()},
		{"a JPEG of many segments", j, few},
		{"a PNG of many chunks", p, few},
		{"a TIFF of many entries", string(directoryFirst()), few},
		{"a large file, half", j[:len(j)/2], small},
	} {
		if err := ended([]byte(tt.bytes), tt.lim); err != nil {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
}

// Some programs count more bytes for a last strip than it has.
func TestAStripNeedsNoMoreThanItsRows(t *testing.T) {
	b := greyDirectory(long(tagStripByteCounts, 1<<20))
	if err := ended(b, DefaultLimits()); err != nil {
		t.Error(err)
	}
}

func TestPagesInACircleEnd(t *testing.T) {
	b := greyDirectory()
	binary.LittleEndian.PutUint32(b[len(b)-4:], 8)
	if err := ended(b, DefaultLimits()); err != nil {
		t.Error(err)
	}
}

// holes is a file that was written but for a part.
type holes struct {
	*bytes.Reader
	from, to int64
}

func (h holes) Hole(at, n int64) bool { return at < h.to && h.from < at+n }

// A part that was never written is missing, whatever comes after it. But black
// may be a hole.
func TestAHoleIsAMissingPart(t *testing.T) {
	files := smallFiles(t)
	for _, tt := range []struct {
		file     string
		from, to int // counted from the end if not above zero
		whole    bool
	}{
		{"a JPEG", 100, 200, false},
		{"a JPEG", 100, -2, false},
		{"a PNG", 60, 80, false},
		{"a deflated TIFF", 20, 30, false},
		{"a TIFF of black", 20, 30, true},
		{"a TIFF, directory first", -8, 0, false},
	} {
		b := files[tt.file]
		if tt.from <= 0 {
			tt.from += len(b)
		}
		if tt.to <= 0 {
			tt.to += len(b)
		}
		err := Ended(holes{bytes.NewReader(b), int64(tt.from), int64(tt.to)}, int64(len(b)), DefaultLimits())
		if tt.whole && err != nil || !tt.whole && !isUnended(err) {
			t.Errorf("%s, %d to %d never written: %v", tt.file, tt.from, tt.to, err)
		}
	}
}

// What is missing is told in words that can stand in a report.
func TestWhatIsMissingIsTold(t *testing.T) {
	big := make([]byte, 3_100_000)
	copy(big, directoryFirst())
	strip := greyDirectory(long(tagWidth, 4000), long(tagLength, 2000), long(tagStripOffsets, 122), long(tagStripByteCounts, 8_000_000))
	copy(big, strip)
	for want, b := range map[string][]byte{
		"it is empty as yet":                                               nil,
		"its end is missing: only 7 bytes are there":                       []byte("\x89PNG\r\n\x1a"),
		"its end is missing: 3.1 MB of about 8.0 MB are there":             big,
		"there are only zeros where its 5.0 kB should begin":               make([]byte, 5000),
		"its end is missing: the last of its 5.0 kB are only zeros":        append(smallFiles(t)["a JPEG"][:200:200], make([]byte, 4800)...),
		"its end is missing: the last of its 5.4 kB are only zeros":        append(smallFiles(t)["a PNG"][:600:600], make([]byte, 4800)...),
		"its end is missing: its last pixels are only zeros":               packedStrip("twenty bytes of pixels" + strings.Repeat("\x00", 50)),
		"its end is missing: where its directory should be are only zeros": append([]byte("II*\x00\x08\x00\x00\x00"), make([]byte, 100)...),
	} {
		if err := ended(b, DefaultLimits()); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

// A fault of the disk is no answer of the bytes.
func TestADiskFaultIsPassedOn(t *testing.T) {
	for name, b := range smallFiles(t) {
		for _, from := range []int64{0, 5, 30} {
			err := Ended(badDisk{b, from}, int64(len(b)), DefaultLimits())
			if !errors.Is(err, errDisk) {
				t.Errorf("%s, unreadable from %d: %v", name, from, err)
			}
		}
	}
}

var errDisk = &fs.PathError{Op: "read", Path: "marsh.jpg", Err: errors.New("input/output error")}

// badDisk cannot read beyond a place.
type badDisk struct {
	b    []byte
	from int64
}

func (d badDisk) ReadAt(p []byte, at int64) (int, error) {
	n := copy(p, d.b[min(at, int64(len(d.b))):])
	if at+int64(n) > d.from {
		return 0, errDisk
	}
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}
