package tiff

import (
	"os"
	"slices"
	"testing"
)

func TestTheDirectorySaysThePictureExactly(t *testing.T) {
	every(t, func(t *testing.T, p Photometric, bits int, c Compression) {
		for _, big := range []bool{false, true} {
			limit := int64(classicLimit)
			if big {
				limit = 100
			}
			h := full(p, bits, c)
			path, _ := writeFile(t, h, marsh(h.Width, h.Height, p.Samples()), limit)
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			magic, tags := readTIFF(t, b) // also: ascending, values on even offsets
			if (magic == 43) != big {
				t.Errorf("magic number %d", magic)
			}
			n := p.Samples()
			each := func(v uint64) []uint64 { return slices.Repeat([]uint64{v}, n) }
			for tag, want := range map[uint16][]uint64{
				tagNewSubfileType: {0}, tagImageWidth: {33}, tagImageLength: {40},
				tagBitsPerSample: each(uint64(bits)), tagSampleFormat: each(1),
				tagCompression: {map[Compression]uint64{None: 1, Deflate: 8, LZW: 5}[c]},
				tagPhotometric: {map[Photometric]uint64{Grey: 1, RGB: 2, CMYK: 5}[p]},
				tagOrientation: {1}, tagSamplesPerPixel: {uint64(n)}, tagRowsPerStrip: {7},
				tagXResolution: {3599999, 10000}, tagYResolution: {3599999, 10000}, tagResolutionUnit: {2},
				tagPlanarConfig: {1},
			} {
				if got := tags[tag].values; !slices.Equal(got, want) {
					t.Errorf("big %v: tag %d is %v, want %v", big, tag, got, want)
				}
			}
			optional := map[uint16]bool{tagPredictor: c != None, tagInkSet: p == CMYK, tagNumberOfInks: p == CMYK, 338: false}
			for tag, want := range optional {
				if _, got := tags[tag]; got != want {
					t.Errorf("tag %d present: %v", tag, got)
				}
			}
			checkTables(t, b, tags, big, h)
		}
	})
}

// checkTables checks that the strips follow one another between the header and the
// directories, at even offsets, and that the tables have the right kinds.
func checkTables(t *testing.T, b []byte, tags map[uint16]entry, big bool, h Header) {
	t.Helper()
	offsets, counts, exif := tags[tagStripOffsets], tags[tagStripByteCounts], tags[tagExifIFD]
	kinds := []uint16{offsets.kind, counts.kind, exif.kind}
	want := []uint16{4, 4, 4} // LONG
	if big {
		want = []uint16{16, 16, 18} // LONG8, LONG8, IFD8
	}
	if !slices.Equal(kinds, want) {
		t.Errorf("kinds of offsets, sizes and EXIF pointer are %v, want %v", kinds, want)
	}
	if len(offsets.values) != h.Strips() || len(counts.values) != h.Strips() {
		t.Fatalf("%d offsets and %d sizes for %d strips", len(offsets.values), len(counts.values), h.Strips())
	}
	at := uint64(headerBytes)
	for i, offset := range offsets.values {
		if offset != at {
			t.Errorf("strip %d is at %d, want %d", i, offset, at)
		}
		at = (offset + counts.values[i] + 1) &^ 1
	}
	if exif.values[0] != at {
		t.Errorf("EXIF directory at %d, the strips end at %d", exif.values[0], at)
	}
	sub := readDirectory(t, b, exif.values[0], big)
	for tag, want := range map[uint16]string{
		tagExifVersion: "0232", tagDateTimeOriginal: "2025:11:02 16:40:07\x00", tagFlashpixVersion: "0100", tagColorSpace: "\xff\xff",
	} {
		if got := string(sub[tag].raw); got != want {
			t.Errorf("EXIF tag %d is %q, want %q", tag, got, want)
		}
	}
}

func TestWhatIsNotSaidHasNoTag(t *testing.T) {
	h := header(9, 9, 8, Grey, None)
	h.Artist = "\x00 \n"
	path, _ := writeFile(t, h, marsh(9, 9, 1), classicLimit)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	_, tags := readTIFF(t, b)
	for _, tag := range []uint16{tagImageDescription, tagMake, tagModel, tagSoftware, tagDateTime, tagArtist, tagCopyright, tagExifIFD, tagICCProfile} {
		if _, ok := tags[tag]; ok {
			t.Errorf("tag %d is there", tag)
		}
	}
}

// TIFF 6.0 puts a value that fits the field in the field: one strip's offset does,
// and so does the text "Ab", with its NUL.
func TestShortValuesStandInTheDirectory(t *testing.T) {
	h := header(9, 7, 8, Grey, None)
	h.Artist = "Ab"
	h.Copyright = "Abcd"
	path, _ := writeFile(t, h, marsh(9, 7, 1), classicLimit)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	_, tags := readTIFF(t, b)
	for tag, outside := range map[uint16]bool{tagStripOffsets: false, tagArtist: false, tagCopyright: true, tagXResolution: true} {
		if got := tags[tag].offset != 0; got != outside {
			t.Errorf("tag %d outside the directory: %v", tag, got)
		}
	}
	if s := string(tags[tagArtist].raw); s != "Ab\x00" {
		t.Errorf("Artist is %q", s)
	}
}
