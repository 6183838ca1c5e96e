package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	xtiff "golang.org/x/image/tiff"
)

// bombs are small files that ask for much. Each is refused, or read without what it
// carries, before much has been spent on it.
func bombs(t testing.TB) map[string][]byte {
	zeros := deflated(make([]byte, 16<<20)) // some 16 KiB
	row := deflated(make([]byte, 4000))
	head := "\x89PNG\r\n\x1a\n"
	png := func(w, h uint32, kind string, chunks ...[]byte) []byte {
		ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
		return slices.Concat([]byte(head), makeChunk("IHDR", string(ihdr)+kind), slices.Concat(chunks...),
			makeChunk("IEND", ""))
	}
	const rgb8, rgb16, grey1 = "\x08\x02\x00\x00\x00", "\x10\x02\x00\x00\x01", "\x01\x00\x00\x00\x00"
	idat := makeChunk("IDAT", string(zeros))
	sof := func(marker, precision string, sides string) string {
		return "\xff" + marker + "\x00\x11" + precision + sides + "\x03\x01\x11\x00\x02\x11\x00\x03\x11\x00"
	}
	scan := "\xff\xda\x00\x08\x01\x01\x00\x00\x00\x00"
	tiff := func(compression uint16, side uint32, strips int, data []byte) []byte {
		return stripsTIFF(compression, side, strips, data)
	}
	return map[string][]byte{
		"30000 a side.png":   png(30000, 30000, rgb8, idat),
		"20000 a side.png":   png(20000, 20000, rgb8, idat),
		"16 bits woven.png":  png(20000, 20000, rgb16, idat),
		"one bit.png":        png(20000, 20000, grey1, idat),
		"strip.png":          png(1, 0x7fffffff, rgb8, idat),
		"65500 a side.jpg":   []byte(jpegStart(sof("\xc0", "\x08", "\xff\xdc\xff\xdc"))),
		"20000 a side.jpg":   []byte(jpegStart(sof("\xc0", "\x08", "\x4e\x20\x4e\x20"))),
		"woven.jpg":          []byte(jpegStart(sof("\xc2", "\x08", "\x4e\x20\x4e\x20"))),
		"scans.jpg":          []byte("\xff\xd8" + sof("\xc2", "\x08", "\x10\x00\x10\x00") + strings.Repeat(scan, 5000) + "\xff\xd9"),
		"arithmetic.jpg":     []byte(jpegStart(sof("\xc9", "\x08", "\x10\x00\x10\x00"))),
		"12 bit.jpg":         []byte(jpegStart(sof("\xc1", "\x0c", "\x10\x00\x10\x00"))),
		"16 bit.jpg":         []byte(jpegStart(sof("\xc3", "\x10", "\x10\x00\x10\x00"))),
		"deflate.tif":        tiff(compressionDeflate, 20000, 1, zeros),
		"deflate strips.tif": tiff(compressionDeflate, 20000, 20000, deflated(make([]byte, 20000))),
		"LZW.tif":            tiff(compressionLZW, 20000, 20000, lzwZeros(t, 20000)),
		"plain strips.tif":   tiff(compressionNone, 20000, 20000, make([]byte, 20000)),
		// A strip that unpacks to nothing for long, over and over.
		"nothing packed.tif": tiff(compressionPackBits, 4000, 4000,
			append(bytes.Repeat([]byte{0x80}, 1<<20), strings.Repeat("\x81\x00", 32)...)),
		"nothing deflated.tif": tiff(compressionDeflate, 4000, 4000,
			slices.Concat(row[:2], bytes.Repeat([]byte{0, 0, 0, 0xff, 0xff}, 1<<18), row[2:])),
		"nothing in LZW.tif": tiff(compressionLZW, 4000, 4000,
			append(bytes.Repeat([]byte{0x80, 0x40, 0x20, 0x10, 0x08, 0x04, 0x02, 0x01, 0x00}, 1<<17), lzwZeros(t, 4000)...)),
	}
}

// stripsTIFF is a grey page of so many pixels a side whose strips, as few or many as
// one likes, are all the same bytes.
func stripsTIFF(compression uint16, side uint32, strips int, data []byte) []byte {
	data = append(data, make([]byte, len(data)%2)...)
	table := func(v uint32) []byte {
		b := make([]byte, 0, 4*strips)
		for range strips {
			b = binary.LittleEndian.AppendUint32(b, v)
		}
		return b
	}
	const start = 8
	offsets, counts := start+len(data), start+len(data)+4*strips
	entry := func(tag uint16, at int) string {
		e := []byte(long(tag, uint32(at)))
		binary.LittleEndian.PutUint32(e[4:], uint32(strips))
		if strips == 1 {
			binary.LittleEndian.PutUint32(e[8:], map[bool]uint32{true: start, false: uint32(len(data))}[tag == tagStripOffsets])
		}
		return string(e)
	}
	entries := []string{
		long(tagWidth, side), long(tagLength, side), short(tagBitsPerSample, 8), short(tagCompression, compression),
		short(tagPhotometric, 1), entry(tagStripOffsets, offsets), short(tagSamplesPerPixel, 1),
		long(tagRowsPerStrip, (side+uint32(strips)-1)/uint32(strips)), entry(tagStripByteCounts, counts),
	}
	dir := counts + 4*strips
	b := binary.LittleEndian.AppendUint32([]byte("II*\x00"), uint32(dir))
	b = slices.Concat(b, data, table(start), table(uint32(len(data))))
	b = binary.LittleEndian.AppendUint16(b, uint16(len(entries)))
	return append(append(b, strings.Join(entries, "")...), 0, 0, 0, 0)
}

// lzwZeros is n zeros as one strip of LZW: TIFF 6.0, section 13.
func lzwZeros(t testing.TB, n int) []byte {
	t.Helper()
	var b []byte
	// A run of n zeros is the codes clear, 0, 258, 259, ... each one longer.
	var acc, bits uint32
	put := func(code, width uint32) {
		acc, bits = acc<<width|code, bits+width
		for bits >= 8 {
			b, bits = append(b, byte(acc>>(bits-8))), bits-8
		}
	}
	width := func(next uint32) uint32 { // TIFF 6.0, section 13: the code grows one early
		for w := uint32(9); ; w++ {
			if next < 1<<w-1 || w == 12 {
				return w
			}
		}
	}
	put(256, 9)
	put(0, 9)
	next, left := uint32(258), n-1
	for run := 2; left > 0 && next < 4094; run++ {
		put(next, width(next))
		left -= run
		next++
	}
	put(257, width(next))
	put(0, 7)
	return b
}

// Bombs are refused after less than 200 MiB were asked for in all, and none of them
// after its bytes were read more than a few times.
func TestBombsAreRefused(t *testing.T) {
	dir := t.TempDir()
	for name, b := range bombs(t) {
		path := writeFile(t, filepath.Join(dir, name), b)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Open(path, DefaultLimits())
		runtime.ReadMemStats(&after)
		if !is(err, TooLarge) && !is(err, Damaged) && !is(err, Unsupported) {
			t.Errorf("%s: %v", name, err)
		}
		if asked := after.TotalAlloc - before.TotalAlloc; asked > 200<<20 {
			t.Errorf("%s: %d MiB asked for", name, asked>>20)
		}
	}
}

// The makers of the bombs above make sound pictures of a small side: it is the size
// that is refused.
func TestSmallBombsAreDuds(t *testing.T) {
	dir := t.TempDir()
	for name, b := range map[string][]byte{
		"deflate.tif": stripsTIFF(compressionDeflate, 400, 1, deflated(make([]byte, 160_000))),
		"strips.tif":  stripsTIFF(compressionDeflate, 400, 400, deflated(make([]byte, 400))),
		"LZW.tif":     stripsTIFF(compressionLZW, 400, 400, lzwZeros(t, 400)),
		"plain.tif":   stripsTIFF(compressionNone, 400, 1, make([]byte, 160_000)),
	} {
		if _, err := xtiff.Decode(bytes.NewReader(b)); err != nil {
			t.Errorf("%s is not sound: %v", name, err)
		}
		path := writeFile(t, filepath.Join(dir, name), b)
		if p := open(t, path); pixels(p)[0] != 0 {
			t.Errorf("%s is not black", name)
		}
	}
}

// A text or profile that inflates without end costs what the limit allows, once, and
// the picture is read.
func TestChunksThatInflateWithoutEnd(t *testing.T) {
	dir := t.TempDir()
	whole := readFile(t, marshFile(t, dir, 20, 20))
	const afterHeader = 8 + 12 + 13
	endless := string(deflated(make([]byte, 17<<20)))
	profile := makeChunk("iCCP", "p\x00\x00"+endless)
	exif := makeChunk("eXIf", "MM\x00\x00 broken")
	tests := map[string]struct {
		chunks []byte
		want   []string
	}{
		"iCCP":      {profile, []string{CautionProfile.Code}},
		"100 iCCP":  {bytes.Repeat(profile, 100), []string{CautionProfile.Code, CautionColours.Code}},
		"1000 eXIf": {bytes.Repeat(exif, 1000), []string{CautionEXIF.Code}},
		"zTXt":      {makeChunk("zTXt", "Comment\x00\x00"+endless), nil},
		"iTXt":      {makeChunk("iTXt", "Comment\x00\x01\x00\x00\x00"+endless), nil},
	}
	for name, tt := range tests {
		path := writeFile(t, filepath.Join(dir, "v.png"), slices.Concat(whole[:afterHeader], tt.chunks, whole[afterHeader:]))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		p, err := Open(path, DefaultLimits())
		runtime.ReadMemStats(&after)
		if err != nil || !slices.Equal(codes(&p.Info), tt.want) {
			t.Errorf("%s: %v, %+v", name, err, p)
		}
		if asked := after.TotalAlloc - before.TotalAlloc; asked > 200<<20 {
			t.Errorf("%s: %d MiB asked for", name, asked>>20)
		}
	}
}

// The counter behind the refusal of strips that lie over one another.
func TestAFileIsNotReadForEver(t *testing.T) {
	u := newUnpacker(io.NewSectionReader(bytes.NewReader(make([]byte, 100)), 0, 100), compressionNone)
	u.left = 150
	for _, at := range []int64{0, 50} { // the second reaches past the end, which costs nothing
		if _, err := u.open(at, 100); err != nil {
			t.Errorf("at %d: %v", at, err)
		}
	}
	if _, err := u.open(0, 1); !errors.Is(err, Damaged) {
		t.Errorf("got %v", err)
	}
}

// BenchmarkBombs says how long each takes to be refused.
func BenchmarkBombs(b *testing.B) {
	dir := b.TempDir()
	for name, bomb := range bombs(b) {
		path := writeFile(b, filepath.Join(dir, name), bomb)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Open(path, DefaultLimits()); err == nil {
					b.Fatal("opened")
				}
			}
		})
	}
}
