package isolate

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/photo"
)

// The memory of a child with a decompression bomb stays far below 200 MiB. Package photo
// has more such files; these are one for each kind of rejection: by the header, by a
// count, by what is read.
func TestATrapTakesLittleMemory(t *testing.T) {
	dir := t.TempDir()
	const frame = "\x00\x11\x08\x10\x00\x10\x00\x03\x01\x11\x00\x02\x11\x00\x03\x11\x00"
	traps := map[string]string{
		"65535 a side.jpg": "\xff\xd8\xff\xc0" + strings.Replace(frame, "\x10\x00\x10\x00", "\xff\xff\xff\xff", 1) + "\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\xff\xd9",
		"5000 scans.jpg":   "\xff\xd8\xff\xc2" + frame + strings.Repeat("\xff\xda\x00\x08\x01\x01\x00\x00\x00\x00", 5000) + "\xff\xd9",
		// 4000 strips of one row, all of which share a megabyte of padding and then a row.
		"strips.tif": overlaid(strings.Repeat("\x80", 1<<20) + strings.Repeat("\x81\x00", 32)),
	}
	for name, b := range traps {
		most, err := peak(t, write(t, filepath.Join(dir, name), []byte(b)))
		if !errors.Is(err, photo.TooLarge) && !errors.Is(err, photo.Damaged) {
			t.Errorf("%s: %v", name, err)
		}
		limit := int64(200 << 20)
		if underRace {
			limit *= 5 // the race detector uses up to that much more memory
		}
		if most > limit || most < 1<<20 {
			t.Errorf("%s took %d MiB", name, most>>20)
		}
	}
}

// overlaid returns a packed TIFF of 4000 x 4000 grey pixels, all of whose strips are data.
func overlaid(data string) string {
	const rows, start = 4000, 8
	data += strings.Repeat("\x00", len(data)%2)
	le := func(v int) string { return string([]byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)}) }
	entry := func(tag, count, value int) string {
		return string([]byte{byte(tag), byte(tag >> 8), 4, 0}) + le(count) + le(value)
	}
	offsets := start + len(data)
	counts := offsets + 4*rows
	entries := []string{entry(256, 1, rows), entry(257, 1, rows), entry(258, 1, 8), entry(259, 1, 32773), entry(262, 1, 1),
		entry(273, rows, offsets), entry(277, 1, 1), entry(278, 1, 1), entry(279, rows, counts)}
	return "II*\x00" + le(counts+4*rows) + data + strings.Repeat(le(start), rows) + strings.Repeat(le(len(data)), rows) +
		fmt.Sprintf("%c\x00", len(entries)) + strings.Join(entries, "") + le(0)
}
