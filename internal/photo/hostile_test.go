package photo

import (
	"encoding/binary"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// short and long build directory entries of one value.
func short(tag, v uint16) string {
	b := binary.LittleEndian.AppendUint16(nil, tag)
	b = append(b, typeShort, 0, 1, 0, 0, 0, byte(v), byte(v>>8), 0, 0)
	return string(b)
}

func long(tag uint16, v uint32) string {
	b := binary.LittleEndian.AppendUint16(nil, tag)
	b = append(b, typeLong, 0, 1, 0, 0, 0)
	return string(binary.LittleEndian.AppendUint32(b, v))
}

// greyTIFF is a directory for 4 x 4 grey pixels of 8 bits in one strip, which lies
// after it, with entries replaced by those of changes.
func greyTIFF(changes ...string) []byte {
	n := len(greyDirectory(changes...))
	b := greyDirectory(append([]string{long(tagStripOffsets, uint32(n))}, changes...)...)
	return append(b, "the salt marsh at"[:16]...)
}

// greyDirectory is the same without the pixels.
func greyDirectory(changes ...string) []byte {
	entries := []string{
		long(tagWidth, 4), long(tagLength, 4), short(tagBitsPerSample, 8), short(tagCompression, 1),
		short(tagPhotometric, 1), long(tagStripOffsets, 8), short(tagSamplesPerPixel, 1), long(tagStripByteCounts, 16),
	}
	for _, c := range changes {
		found := false
		for i, e := range entries {
			if e[:2] == c[:2] {
				entries[i], found = c, true
			}
		}
		if !found {
			entries = append(entries, c)
		}
	}
	return tiffBlock(0, entries...)
}

// A TIFF can ask for anything in a few bytes. What it asks for is bounded by
// its own pixels, and a contradiction is damage.
func TestHostileTIFFs(t *testing.T) {
	tests := []struct {
		name    string
		changes []string
		kind    error // nil: it is read
	}{
		{"as it should be", nil, nil},
		{"no width", []string{long(tagWidth, 0)}, Damaged},
		{"4 billion a side", []string{long(tagWidth, 0xffffffff), long(tagLength, 0xffffffff)}, TooLarge},
		{"a strip beyond the end", []string{long(tagStripOffsets, 0xfffffff0)}, Damaged},
		{"strips it does not have", []string{long(tagLength, 100), long(tagRowsPerStrip, 1)}, Damaged},
		{"strips of no rows", []string{long(tagRowsPerStrip, 0)}, Damaged},
		{"no channels", []string{short(tagSamplesPerPixel, 0)}, Unsupported},
		{"60000 channels", []string{short(tagSamplesPerPixel, 60000)}, Unsupported},
		{"RGB of one channel", []string{short(tagPhotometric, 2)}, Damaged},
		{"a tile the size of a county", []string{long(tagTileWidth, 1<<30), long(tagTileLength, 16), long(tagTileOffsets, 0), long(tagTileByteCounts, 16)}, Damaged},
		{"tiles of no size", []string{long(tagTileWidth, 0), long(tagTileLength, 0)}, Damaged},
		{"tiles without a list", []string{long(tagTileWidth, 16), long(tagTileLength, 16)}, Damaged},
		{"deflate that is not", []string{short(tagCompression, compressionDeflate)}, Damaged},
		{"LZW that is not", []string{short(tagCompression, compressionLZW)}, Damaged},
		{"width is a text", []string{strings.Replace(long(tagWidth, 4), "\x04", "\x02", 1)}, Damaged},
		{"raw from a camera", []string{long(tagDNGVersion, 1)}, Undeveloped},
		{"a preview first", []string{long(tagNewSubfileType, 1)}, Unsupported},
		{"a preview of a raw file first", []string{long(tagNewSubfileType, 1), long(tagSubIFDs, 8)}, Undeveloped},
		{"bits reversed", []string{short(tagFillOrder, 2)}, Unsupported},
		{"a predictor for floating point", []string{short(tagPredictor, 3), short(tagCompression, compressionDeflate)}, Unsupported},
	}
	for _, tt := range tests {
		path := writeFile(t, filepath.Join(t.TempDir(), "a.tif"), greyTIFF(tt.changes...))
		p, err := Open(path, DefaultLimits())
		switch {
		case tt.kind == nil && (err != nil || p.Width != 4 || p.Cautions != nil):
			t.Errorf("%s: %v", tt.name, err)
		case tt.kind != nil && !is(err, tt.kind):
			t.Errorf("%s: %v, want %s", tt.name, err, tt.kind)
		}
	}
}

// Directories, segments, chunks and blocks are counted before they are read.
func TestCountsAreLimited(t *testing.T) {
	dir := t.TempDir()
	png := readFile(t, marshFile(t, dir, 9, 9))
	segments := "\xff\xd8" + strings.Repeat("\xff\xfe\x00\x02", 50) + jpegStart("\xff\xc0\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00")[2:]
	tests := []struct {
		name  string
		bytes string
		set   func(*Limits)
	}{
		{"segments.jpg", segments, func(l *Limits) { l.MaxSegments = 50 }},
		{"chunks.png", string(png), func(l *Limits) { l.MaxSegments = 2 }},
		{"entries.tif", string(greyTIFF()), func(l *Limits) { l.MaxIFDEntries = 7 }},
		{"strips.tif", string(greyTIFF(long(tagRowsPerStrip, 1))), func(l *Limits) { l.MaxBlocks = 3 }},
	}
	for _, tt := range tests {
		path := writeFile(t, filepath.Join(dir, tt.name), []byte(tt.bytes))
		lim := DefaultLimits()
		tt.set(&lim)
		if _, err := Open(path, lim); !is(err, TooLarge) && !is(err, Damaged) || !strings.Contains(fmt.Sprint(err), "many") && !strings.Contains(fmt.Sprint(err), "more than") {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
}

// Pages that point at one another are counted once.
func TestPagesInACircle(t *testing.T) {
	b := greyTIFF()
	binary.LittleEndian.PutUint32(b[len(b)-16-4:], 8) // the next page is the first
	path := writeFile(t, filepath.Join(t.TempDir(), "a.tif"), b)
	if p := open(t, path); p.Cautions != nil {
		t.Errorf("cautions %v", p.Cautions)
	}
}
