//go:build linux

package faults

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"math/rand/v2"
	"slices"
	"sync"
)

// Hostile returns files that look like pictures and are not, or that ask for more than a
// machine has, each with its allowed outcomes.
func Hostile(r *rand.Rand) []Picture {
	noise := func(n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		return b
	}
	jpeg, png, tif := encoded(r, "baseline JPEG"), encoded(r, "PNG"), encoded(r, "TIFF")
	ended := []byte{0xff, 0xd9}
	const refused = Held | Left // a file without its end is never started
	return []Picture{
		{"an empty file", ".jpg", nil, refused},
		{"words", ".jpg", append([]byte("Dear printers, the picture follows by post. "), noise(8)...), refused},
		{"a page", ".png", append([]byte("<!doctype html><html>"), noise(40)...), refused},
		{"a GIF", ".gif", append([]byte("GIF89a"), noise(4000)...), refused},
		{"a program", ".tif", append([]byte("\x7fELF\x02\x01\x01"), noise(4000)...), refused},
		{"noise with a JPEG's ends", ".jpg", slices.Concat([]byte{0xff, 0xd8}, noise(9000), ended), refused},
		{"noise with a PNG's ends", ".png", slices.Concat(png[:8], noise(9000), png[len(png)-12:]), refused},
		{"noise with a TIFF's header", ".tif", append([]byte("II*\x00\x08\x00\x00\x00"), noise(9000)...), refused},
		{"a JPEG of 65535 x 65535", ".jpg", slices.Concat(hugeJPEG(), noise(8), ended), refused},
		{"a JPEG of 2000 scans", ".jpg", progressiveJPEG(scene(r, 400, 300), 2000), refused},
		{"a JPEG without its middle", ".jpg", slices.Concat(jpeg[:len(jpeg)/3], ended), refused},
		{"a JPEG with EXIF that goes round", ".jpg", slices.Concat(jpeg[:2], roundEXIF(), jpeg[2:]), Made | Held},
		{"a PNG damaged in the middle", ".png", spoilt(png), Held},
		{"a PNG of 100000 x 100000", ".png", pngOf(100_000, 100_000, noise(64), nil), refused},
		{"a PNG whose rows inflate to 64 MiB", ".png", pngOf(100+r.Uint32N(1<<12), 100, bomb(), nil), refused},
		{"a PNG with a profile of 64 MiB", ".png", pngOf(100+r.Uint32N(1<<12), 100, nil, bomb()), Made | Held | Left},
		{"a TIFF of 4 billion pixels a side", ".tif", tiffOf(0xffffffff, 0xffffffff, 1, noise(64), 0), refused},
		{"a TIFF whose strip inflates to 64 MiB", ".tif", tiffOf(300+r.Uint32N(1000), 200, 8, bomb(), 0), Made | Held},
		{"a TIFF whose directory follows itself", ".tif", tiffOf(300, 200, 1, noise(300*200), 8), Made | Held | Left},
		{"a TIFF without its last strips", ".tif", cutTIFF(tif), refused},
	}
}

// encoded returns the bytes of a picture.
func encoded(r *rand.Rand, kind string) []byte {
	i := slices.IndexFunc(forms, func(f form) bool { return f.kind == kind })
	return forms[i].of(scene(r, 600, 400), Made).Data
}

// spoilt inverts a few bytes in the middle.
func spoilt(data []byte) []byte {
	data = slices.Clone(data)
	for i := range 64 {
		data[len(data)/2+i] ^= 0x5a
	}
	return data
}

// bomb expands 64 KiB to 64 MiB.
var bomb = sync.OnceValue(func() []byte { return deflated(64 << 20) })

func hugeJPEG() []byte {
	var b bytes.Buffer
	b.Write([]byte{0xff, 0xd8})
	segment(&b, 0xc0, []byte{8, 0xff, 0xff, 0xff, 0xff, 1, 1, 0x11, 0})
	segment(&b, 0xda, []byte{1, 1, 0, 0, 63, 0})
	return b.Bytes()
}

// roundEXIF is an APP1 segment whose first directory links to itself.
func roundEXIF() []byte {
	var b bytes.Buffer
	segment(&b, 0xe1, []byte("Exif\x00\x00II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x01\x00\x00\x00\x08\x00\x00\x00"))
	return b.Bytes()
}

// deflated returns n zeros, compressed with zlib.
func deflated(n int) []byte {
	var b bytes.Buffer
	z := zlib.NewWriter(&b)
	chunk := make([]byte, 1<<16)
	for ; n > 0; n -= len(chunk) {
		z.Write(chunk[:min(n, len(chunk))]) // never fails, see bytes.Buffer
	}
	z.Close()
	return b.Bytes()
}

// pngOf returns an 8-bit grey PNG with these rows (none: white) and this profile.
func pngOf(w, h uint32, rows, profile []byte) []byte {
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		body := append([]byte(kind), data...)
		binary.Write(&b, binary.BigEndian, uint32(len(data)))
		b.Write(body)
		binary.Write(&b, binary.BigEndian, crc32.ChecksumIEEE(body))
	}
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	chunk("IHDR", append(head, 8, 0, 0, 0, 0))
	if profile != nil {
		chunk("iCCP", append([]byte("p\x00\x00"), profile...))
	}
	if rows == nil {
		rows = deflated(int((w + 1) * h))
	}
	chunk("IDAT", rows)
	chunk("IEND", nil)
	return b.Bytes()
}

// tiffOf returns a grey TIFF of one strip, with its directory first.
func tiffOf(w, h uint32, compression uint16, strip []byte, next uint32) []byte {
	tags := []struct{ tag, kind, value uint32 }{
		{256, 4, w}, {257, 4, h}, {258, 3, 8}, {259, 3, uint32(compression)}, {262, 3, 1},
		{273, 4, 0}, {277, 3, 1}, {278, 4, h}, {279, 4, uint32(len(strip))},
	}
	le := binary.LittleEndian
	out := le.AppendUint16([]byte("II*\x00\x08\x00\x00\x00"), uint16(len(tags)))
	start := uint32(len(out) + 12*len(tags) + 4)
	for _, t := range tags {
		if t.tag == 273 {
			t.value = start
		}
		out = le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(out, uint16(t.tag)), uint16(t.kind)), 1), t.value)
	}
	return append(le.AppendUint32(out, next), strip...)
}

// cutTIFF makes a TIFF whose strips go on beyond its end.
func cutTIFF(data []byte) []byte {
	le := binary.LittleEndian
	data = slices.Clone(data)
	at := int(le.Uint32(data[4:]))
	for i := range int(le.Uint16(data[at:])) {
		if e := data[at+2+12*i:]; le.Uint16(e) == 273 {
			le.PutUint32(e[8:], uint32(len(data)-16))
		}
	}
	return data
}
