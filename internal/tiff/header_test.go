package tiff

import (
	"strings"
	"testing"
)

func TestAHeaderThatCannotBeWrittenSaysWhy(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*Header)
		want  string // of the sentence
	}{
		"no width":             {func(h *Header) { h.Width = 0 }, "0 x 40 pixels"},
		"no height":            {func(h *Header) { h.Height = -1 }, "60 x -1 pixels"},
		"absurd width":         {func(h *Header) { h.Width = maxSidePX + 1 }, "each side must be from 1 to 16777216"},
		"12 bits":              {func(h *Header) { h.Bits = 12 }, "choose 8 or 16"},
		"unknown photometric":  {func(h *Header) { h.Photometric = 3 }, "choose Grey, RGB or CMYK"},
		"unknown compression":  {func(h *Header) { h.Compression = -1 }, "choose None, Deflate or LZW"},
		"no rows a strip":      {func(h *Header) { h.RowsPerStrip = 0 }, "0 rows per strip"},
		"strip above 1 GiB":    {func(h *Header) { h.Width, h.Height, h.RowsPerStrip = 1<<20, 200, 171 }, "give fewer rows"},
		"no resolution":        {func(h *Header) { h.PPI = Rational{} }, "pixels per inch"},
		"resolution over zero": {func(h *Header) { h.PPI = Rational{360, 0} }, "360/0 is not a number"},
		"profile cut short":    {func(h *Header) { h.Profile = profile("RGB ", 128)[:127] }, "not an ICC profile"},
		"profile of zeros":     {func(h *Header) { h.Profile = make([]byte, 500) }, "not an ICC profile"},
		"profile of other pixels": {func(h *Header) { h.Profile = profile("CMYK", 500) },
			`for "CMYK" but the pixels are RGB`},
		"date of a blank camera clock": {func(h *Header) { h.DateTimeOriginal = "0000:00:00 00:00:00" }, "DateTimeOriginal"},
		"date with dashes":             {func(h *Header) { h.DateTime = "2026-03-14 09:26:53" }, "DateTime "},
		"29 February of a common year": {func(h *Header) { h.DateTime = "2026:02:29 09:26:53" }, "is not a date"},
		"fraction of a second":         {func(h *Header) { h.DateTime = "2026:03:14 09:26:53.5" }, "is not a date"},
	} {
		h := header(60, 40, 16, RGB, Deflate)
		if err := h.Validate(); err != nil {
			t.Fatal(err)
		}
		c.spoil(&h)
		err := h.Validate()
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want a sentence with %q", name, err, c.want)
			continue
		}
		if _, err2 := NewWriter(new(memFile), h); err2 == nil || err2.Error() != err.Error() {
			t.Errorf("%s: NewWriter says %v", name, err2)
		}
		if _, err2 := h.NewEncoder().Strip16(nil, nil, 7); err2 == nil || err2.Error() != err.Error() {
			t.Errorf("%s: Strip16 says %v", name, err2)
		}
	}
}

func TestStripsCoverThePicture(t *testing.T) {
	for _, c := range []struct{ height, rows, strips, last int }{
		{40, 7, 6, 5}, {42, 7, 6, 7}, {7, 7, 1, 7}, {6, 7, 1, 6}, {1, 1, 1, 1}, {3, 1, 3, 1}, {5, 1 << 40, 1, 5},
	} {
		h := header(60, c.height, 8, Grey, None)
		h.RowsPerStrip = c.rows
		sum := 0
		for i := range h.Strips() {
			sum += h.StripRows(i)
		}
		if h.Strips() != c.strips || h.StripRows(c.strips-1) != c.last || sum != c.height {
			t.Errorf("%d rows in %d: %d strips, the last of %d, %d rows in all",
				c.height, c.rows, h.Strips(), h.StripRows(h.Strips()-1), sum)
		}
	}
}

// 40 x 60 in at 360 ppi in 16-bit RGB is 14400 x 21600 x 6 bytes of pixels.
func TestDiskUseIsForeseen(t *testing.T) {
	h := header(14400, 21600, 16, RGB, None)
	h.RowsPerStrip = 32
	pixels := int64(14400 * 21600 * 6)
	for c, most := range map[Compression]float64{None: 1.0001, Deflate: 1.001, LZW: 1.501} {
		h.Compression = c
		if got := h.MaxBytes(); got < pixels || float64(got) > most*float64(pixels) {
			t.Errorf("%v: MaxBytes is %d for %d bytes of pixels", c, got, pixels)
		}
	}
	// The embedded profile counts.
	small := header(1, 1, 8, RGB, None)
	with := small
	with.Profile = profile("RGB ", 100000)
	if d := with.MaxBytes() - small.MaxBytes(); d < 100000 {
		t.Errorf("a profile of 100000 bytes adds %d", d)
	}
}
