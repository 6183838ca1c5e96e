package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	xtiff "golang.org/x/image/tiff"
)

// fuzzLimits make a picture that is within them quick to read.
func fuzzLimits() Limits {
	lim := DefaultLimits()
	lim.MaxPixels, lim.MaxDecodeBytes, lim.MaxProfileBytes, lim.MaxScans = 1<<16, 1<<22, 1<<16, 8
	return lim
}

// keepsItsPromise holds the package to its word on any bytes: a picture whose
// every value lies within 0 to 1, or an error of a known kind. It goes in below
// the guard, so that a panic is a failure.
func keepsItsPromise(t *testing.T, b []byte) {
	p, err := decode(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), "fuzz.jpg", fuzzLimits(), nil)
	if err != nil {
		var e *Error
		if !errors.As(err, &e) || e.Text == "" || e.Remedy == "" {
			t.Fatalf("not worded: %v", err)
		}
		return
	}
	for _, v := range pixels(p) {
		if !(v >= 0 && v <= 1) {
			t.Fatalf("value %g in a %s %s", v, p.Format, p.Model)
		}
	}
}

// encoded is a small picture as a file.
func encoded(f *testing.F, encode func(w io.Writer) error) []byte {
	f.Helper()
	var b bytes.Buffer
	if err := encode(&b); err != nil {
		f.Fatal(err)
	}
	return b.Bytes()
}

func fuzzJPEG(f *testing.F) []byte {
	return encoded(f, func(w io.Writer) error { return jpeg.Encode(w, marsh16(20, 13), nil) })
}

func fuzzPNG(f *testing.F) []byte {
	return encoded(f, func(w io.Writer) error { return png.Encode(w, marsh16(20, 13)) })
}

func fuzzTIFF(f *testing.F, img image.Image, o *xtiff.Options) []byte {
	return encoded(f, func(w io.Writer) error { return xtiff.Encode(w, img, o) })
}

var fuzzEXIF = tiffBlock(0, makeReed, orientation6, "\x69\x87\x04\x00\x01\x00\x00\x00\x08\x00\x00\x00")

// withoutHEIFDecoder keeps outside programs out of a fuzz target.
func withoutHEIFDecoder(f *testing.F) {
	installed := heifDecoder
	heifDecoder = func() string { return "" }
	f.Cleanup(func() { heifDecoder = installed })
}

// FuzzDecode is any bytes at all.
func FuzzDecode(f *testing.F) {
	withoutHEIFDecoder(f)
	j := fuzzJPEG(f)
	for _, b := range [][]byte{j, withEXIF(j, fuzzEXIF), fuzzPNG(f), fuzzTIFF(f, marsh16(20, 13), nil), []byte(hugeJPEG), []byte(hugePNG)} {
		f.Add(b)
	}
	for _, format := range formats {
		for _, m := range format.magics {
			f.Add(m.head())
		}
	}
	f.Fuzz(keepsItsPromise)
}

// FuzzJPEG is the segments of a JPEG and its scans.
func FuzzJPEG(f *testing.F) {
	j := fuzzJPEG(f)
	grey := encoded(f, func(w io.Writer) error { return jpeg.Encode(w, image.NewGray(image.Rect(0, 0, 9, 17)), nil) })
	icc := "\xff\xe2\x00\x14" + iccHead + "\x01\x01profile!"
	for _, b := range [][]byte{j, grey, withEXIF(j, fuzzEXIF), slices.Concat(j[:2], []byte(icc), j[2:]),
		[]byte(jpegStart("\xff\xc2\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00"))} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if bytes.HasPrefix(b, []byte("\xff\xd8\xff")) {
			keepsItsPromise(t, b)
		}
	})
}

// FuzzPNG is the chunks of a PNG, their checksums put right so that what they
// guard is reached.
func FuzzPNG(f *testing.F) {
	whole := fuzzPNG(f)
	const afterHeader = 8 + 12 + 13
	profile := makeChunk("iCCP", "p\x00\x00"+string(deflated([]byte("profile"))))
	exif := makeChunk("eXIf", string(fuzzEXIF))
	grey := encoded(f, func(w io.Writer) error { return png.Encode(w, image.NewGray(image.Rect(0, 0, 9, 17))) })
	colours := slices.Concat(makeChunk("cICP", "\x0c\x0d\x00\x01"), makeChunk("sRGB", "\x00"), makeChunk("gAMA", "\x00\x00\xb1\x8f"), makeChunk("cHRM", strings.Repeat("\x00\x00\x7a\x26", 8)))
	for _, b := range [][]byte{whole, grey, slices.Concat(whole[:afterHeader], colours, whole[afterHeader:]), slices.Concat(whole[:afterHeader], profile, exif, makeChunk("tRNS", "\x00\x01\x00\x01\x00\x01"), whole[afterHeader:])} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if bytes.HasPrefix(b, whole[:8]) {
			keepsItsPromise(t, withChecksums(b))
		}
	})
}

// withChecksums puts right the checksum of every chunk that is whole.
func withChecksums(b []byte) []byte {
	b = bytes.Clone(b)
	for at := 8; at+12 <= len(b); {
		size := int64(binary.BigEndian.Uint32(b[at:]))
		if size > int64(len(b)-at-12) {
			break
		}
		end := at + 8 + int(size)
		binary.BigEndian.PutUint32(b[end:], crc32.ChecksumIEEE(b[at+4:end]))
		at = end + 4
	}
	return b
}

// FuzzTIFF is the directory of a TIFF and what it points to.
func FuzzTIFF(f *testing.F) {
	for _, b := range [][]byte{
		fuzzTIFF(f, marsh16(20, 13), &xtiff.Options{Compression: xtiff.Deflate, Predictor: true}),
		fuzzTIFF(f, image.NewGray16(image.Rect(0, 0, 9, 7)), nil),
		greyTIFF(), greyTIFF(short(tagPhotometric, 0), long(tagRowsPerStrip, 1)),
		greyTIFF(long(tagTileWidth, 16), long(tagTileLength, 16), long(tagTileOffsets, 0), long(tagTileByteCounts, 16)),
		greyTIFF(short(tagCompression, compressionPackBits), long(tagEXIF, 8)),
		stripsTIFF(compressionDeflate, 40, 10, deflated(make([]byte, 160))),
		stripsTIFF(compressionLZW, 40, 10, lzwZeros(f, 160)),
	} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if f := formatBy(b); f != nil && f.name == formatTIFF {
			keepsItsPromise(t, b)
		}
	})
}

// FuzzEXIF is an EXIF block by itself: whatever it says is fit to print, and it is one
// of the ways up or none.
func FuzzEXIF(f *testing.F) {
	for _, b := range [][]byte{nil, fuzzEXIF, append([]byte(exifHead), fuzzEXIF...), tiffBlock(8, makeReed, "\x0f\x01\x02\x00\xff\xff\xff\xff\x00\x00\x00\x00"),
		tiffBlock(0, "\x98\x82\x02\x00\x0c\x00\x00\x00\x08\x00\x00\x00", "\x05\xa0\x04\x00\x01\x00\x00\x00\x08\x00\x00\x00")} {
		f.Add(b)
	}
	lim := fuzzLimits()
	lim.MaxTextBytes = 40
	f.Fuzz(func(t *testing.T, b []byte) {
		in := &Info{Orientation: 1}
		in.setEXIF(in.readEXIF(b, lim))
		in.coloursFromEXIF()
		x := in.EXIF
		for _, text := range []string{x.Make, x.Camera, x.Lens, x.Artist, x.Copyright, x.DateTimeOriginal, x.InteropIndex} {
			if len(text) > lim.MaxTextBytes || !utf8.ValidString(text) {
				t.Fatalf("%q", text)
			}
		}
		if in.Orientation < 1 || in.Orientation > 8 || len(in.Cautions) > 4 {
			t.Fatalf("%+v", in)
		}
	})
}

// FuzzAdopt is what comes from the process that decoded a picture, should that ever be
// taken over by it: a picture every row of which can be read, or an error.
func FuzzAdopt(f *testing.F) {
	for _, b := range []string{"", "0123456789abcdef" + `{"Info":{"Model":"grey","Width":4,"Height":4},"Planes":[{"At":0,"Length":16,"Stride":4,"Step":1,"Width":4,"Height":4,"SubX":1,"SubY":1}]}`,
		"0123456789ab" + `{"YCC":true,"Info":{"Model":"rgb","Width":3,"Height":2},"Planes":[{"At":0,"Length":6,"Stride":3,"Step":1,"Width":3,"Height":2,"SubX":1,"SubY":1},` +
			`{"At":6,"Length":2,"Stride":2,"Step":1,"Width":2,"Height":1,"SubX":2,"SubY":2,"OffX":-1},{"At":8,"Length":2,"Stride":2,"Step":1,"Width":2,"Height":1,"SubX":2,"SubY":2}]}`,
		`{"Fault":{"Code":"damaged","Text":"aXMgZGFtYWdlZA==","Remedy":"copy it"}}`} {
		f.Add([]byte(b))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		from := max(0, bytes.IndexByte(b, '{'))
		b = binary.BigEndian.AppendUint64(bytes.Clone(b), uint64(len(b)-from))
		p, err := adoptShared(&mapped{bytes: b})
		if err != nil || p.Width > 1<<12 || p.Height > 1<<12 {
			return
		}
		pixels(p)
		p.Fingerprint()
		p.YCC()
	})
}

// FuzzWebP is the chunks of a WebP and its frames.
func FuzzWebP(f *testing.F) {
	f.Add(encoded(f, stored("marsh.webp")))
	f.Fuzz(func(t *testing.T, b []byte) {
		if bytes.HasPrefix(b, []byte("RIFF")) {
			keepsItsPromise(t, b)
		}
	})
}

// FuzzPSD is the sections of a PSD and the rows of its composite.
func FuzzPSD(f *testing.F) {
	f.Add(encoded(f, stored("marsh.psd")))
	f.Fuzz(func(t *testing.T, b []byte) {
		if bytes.HasPrefix(b, []byte("8BPS")) {
			keepsItsPromise(t, b)
		}
	})
}

// FuzzHEIF is the boxes of a HEIF and its coded data, up to the outside program.
func FuzzHEIF(f *testing.F) { fuzzHEIF(f, "marsh.heic") }

// FuzzAVIF is the same with AV1.
func FuzzAVIF(f *testing.F) { fuzzHEIF(f, "marsh.avif") }

func fuzzHEIF(f *testing.F, seed string) {
	withoutHEIFDecoder(f)
	f.Add(encoded(f, stored(seed)))
	f.Fuzz(func(t *testing.T, b []byte) {
		keepsItsPromise(t, b)
		_ = ended(b, fuzzLimits())
		h, err := openHEIF(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), fuzzLimits())
		if err != nil || h.item(h.primary) == nil {
			return
		}
		_ = (&Photo{}).checkCoded(h, h.tiles(h.item(h.primary)))
	})
}
