package tiff

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

// libtiffPixels returns the pixels of a file as decoded by libtiff.
func libtiffPixels(t *testing.T, path string) []byte {
	t.Helper()
	plain := filepath.Join(t.TempDir(), "plain.tif")
	if _, stderr := tool(t, "tiffcp", "-c", "none", path, plain); stderr != "" {
		t.Errorf("tiffcp: %s", stderr)
	}
	b, err := os.ReadFile(plain)
	if err != nil {
		t.Fatal(err)
	}
	_, tags := readTIFF(t, b)
	var px []byte
	for i, offset := range tags[tagStripOffsets].values {
		px = append(px, b[offset:][:tags[tagStripByteCounts].values[i]]...)
	}
	return px
}

// vipsPixels returns the pixels of a file as decoded by libvips.
func vipsPixels(t *testing.T, path string) []byte {
	t.Helper()
	raw := filepath.Join(t.TempDir(), "pixels.raw")
	if _, stderr := tool(t, "vips", "rawsave", path, raw); stderr != "" {
		t.Errorf("vips: %s", stderr)
	}
	b, err := os.ReadFile(raw)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestGoReadsTheSamePixels(t *testing.T) {
	every(t, func(t *testing.T, p Photometric, bits int, c Compression) {
		if p == CMYK {
			return // x/image reads no CMYK; libtiff and libvips do, below
		}
		for _, width := range []int{1, 2, 13, 64} {
			h := header(width, 40, bits, p, c)
			px := marsh(width, h.Height, p.Samples())
			path, _ := writeFile(t, h, px, classicLimit)
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			img, err := tiff.Decode(bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			var got []uint16
			for i := range width * h.Height {
				r, g, b, _ := img.At(i%width, i/width).RGBA()
				got = append(got, []uint16{uint16(r), uint16(g), uint16(b)}[:p.Samples()]...)
			}
			if bits == 8 { // RGBA widens v to v*257
				for i := range px {
					px[i] = px[i] >> 8 * 257
				}
			}
			if !slices.Equal(got, px) {
				t.Errorf("width %d: pixels differ", width)
			}
		}
	})
}

func TestLibtiffReadsTheSamePixels(t *testing.T) {
	every(t, func(t *testing.T, p Photometric, bits int, c Compression) {
		for _, limit := range []int64{classicLimit, 100} {
			h := header(33, 40, bits, p, c)
			px := marsh(h.Width, h.Height, p.Samples())
			path, _ := writeFile(t, h, px, limit)
			if !bytes.Equal(libtiffPixels(t, path), sampleBytes(px, bits)) {
				t.Errorf("limit %d: pixels differ", limit)
			}
		}
	})
}

func TestLibvipsReadsTheSamePixels(t *testing.T) {
	for _, c := range []struct {
		p           Photometric
		bits        int
		compression Compression
		limit       int64
	}{
		{Grey, 16, Deflate, classicLimit},
		{RGB, 16, Deflate, classicLimit},
		{RGB, 16, Deflate, 100},
		{RGB, 8, LZW, 100},
		{CMYK, 8, Deflate, classicLimit},
		{CMYK, 16, LZW, classicLimit},
		{CMYK, 16, None, 100},
	} {
		h := header(33, 40, c.bits, c.p, c.compression)
		px := marsh(h.Width, h.Height, c.p.Samples())
		path, w := writeFile(t, h, px, c.limit)
		if w.Big() != (c.limit == 100) {
			t.Errorf("%+v: BigTIFF is %v", c, w.Big())
		}
		if !bytes.Equal(vipsPixels(t, path), sampleBytes(px, c.bits)) {
			t.Errorf("%+v: pixels differ", c)
		}
	}
}

// full returns a header with every field set.
func full(p Photometric, bits int, c Compression) Header {
	h := header(33, 40, bits, p, c)
	h.PPI = RationalPPI(359.9999)
	h.Make, h.Model = "Saltern", "Rangefinder 2"
	h.Artist, h.Copyright = "Ólína Sjóbær", "© 2026 Samphire Print Room"
	h.Software, h.Description = "sizewright", "Cord-grass at low water"
	h.DateTime, h.DateTimeOriginal = "2026:03:14 09:26:53", "2025:11:02 16:40:07"
	return h
}

func TestTiffinfoHasNoWarningAndEveryField(t *testing.T) {
	every(t, func(t *testing.T, p Photometric, bits int, c Compression) {
		for _, limit := range []int64{classicLimit, 100} {
			h := full(p, bits, c)
			path, _ := writeFile(t, h, marsh(h.Width, h.Height, p.Samples()), limit)
			stdout, stderr := tool(t, "tiffinfo", path)
			if stderr != "" {
				t.Errorf("limit %d: tiffinfo warns: %s", limit, stderr)
			}
			for _, want := range []string{
				"Image Width: 33 Image Length: 40\n",
				"Resolution: 360, 360 pixels/inch\n", // it rounds to six digits
				fmt.Sprintf("Bits/Sample: %d\n", bits),
				"Sample Format: unsigned integer\n",
				"Compression Scheme: " + map[Compression]string{None: "None", Deflate: "AdobeDeflate", LZW: "LZW"}[c] + "\n",
				"Photometric Interpretation: " + map[Photometric]string{Grey: "min-is-black", RGB: "RGB color", CMYK: "separated"}[p] + "\n",
				"Orientation: row 0 top, col 0 lhs\n",
				fmt.Sprintf("Samples/Pixel: %d\n", p.Samples()),
				"Rows/Strip: 7\n",
				"Planar Configuration: single image plane\n",
				"Make: Saltern\n", "Model: Rangefinder 2\n",
				"Artist: Ólína Sjóbær\n", "Copyright: © 2026 Samphire Print Room\n",
				"Software: sizewright\n", "ImageDescription: Cord-grass at low water\n",
				"DateTime: 2026:03:14 09:26:53\n",
			} {
				if !strings.Contains(stdout, want) {
					t.Errorf("limit %d: tiffinfo does not say %q:\n%s", limit, want, stdout)
				}
			}
			if got := strings.Contains(stdout, "horizontal differencing"); got != (c != None) {
				t.Errorf("predictor named: %v", got)
			}
		}
	})
}

// debianProfile reads a profile from Debian's package icc-profiles-free or colord-data.
func debianProfile(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("/usr/share/color/icc", name))
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	return b
}

// ExifTool compares compression and photometric with the baseline tables of TIFF 6.0 and
// EXIF, which have neither Adobe deflate nor separated colours. It reports that for every
// such TIFF, whoever wrote it; it must report nothing else. It requires the name of a
// BigTIFF to end in .btf.
func TestExifToolFindsNothingElseWrong(t *testing.T) {
	want := map[string]string{} // by path
	every(t, func(t2 *testing.T, p Photometric, bits int, c Compression) {
		for _, limit := range []int64{classicLimit, 100} {
			h := full(p, bits, c)
			if p == RGB {
				h.Profile = debianProfile(t, "sRGB.icc")
			}
			path, w := writeFile(t, h, marsh(h.Width, h.Height, p.Samples()), limit)
			var warnings []string
			if w.Big() {
				big := strings.TrimSuffix(path, "tif") + "btf"
				if err := os.Rename(path, big); err != nil {
					t.Fatal(err)
				}
				path = big
			} else {
				if c == Deflate {
					warnings = append(warnings, "Warning: Invalid value for IFD0 tag 0x0103 Compression")
				}
				if p == CMYK {
					warnings = append(warnings, "Warning: Invalid value for IFD0 tag 0x0106 PhotometricInterpretation")
				}
			}
			verdict := []string{"OK", "1 Warning", "2 Warnings"}[len(warnings)]
			want[path] = strings.Join(append([]string{"Validate: " + verdict}, warnings...), "\n")
		}
	})
	args := append([]string{"-S", "-validate", "-warning", "-a"}, slices.Sorted(maps.Keys(want))...)
	stdout, _ := tool(t, "exiftool", args...) // the count of files is on stderr
	said := strings.Split(stdout, "======== ")[1:]
	if len(said) != len(want) {
		t.Fatalf("exiftool reports %d files of %d:\n%s", len(said), len(want), stdout)
	}
	for _, block := range said {
		path, got, _ := strings.Cut(block, "\n")
		if got = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(got), fmt.Sprintf("%d image files read", len(want)))); got != want[path] {
			t.Errorf("%s: exiftool says\n%s\nwant\n%s", path, got, want[path])
		}
	}
}

func TestExifToolReadsWhatWasSaid(t *testing.T) {
	for _, limit := range []int64{classicLimit, 100} {
		h := full(RGB, 16, Deflate)
		path, _ := writeFile(t, h, marsh(h.Width, h.Height, 3), limit)
		stdout, _ := tool(t, "exiftool", "-s", "-n", "-a", path)
		for _, want := range []string{
			"XResolution : 359.9999", "YResolution : 359.9999", "ResolutionUnit : 2",
			"Orientation : 1", "Make : Saltern", "Model : Rangefinder 2",
			"Artist : Ólína Sjóbær", "Copyright : © 2026 Samphire Print Room",
			"ModifyDate : 2026:03:14 09:26:53",
			"ExifVersion : 0232", "ColorSpace : 65535", "DateTimeOriginal : 2025:11:02 16:40:07",
		} {
			if !slices.ContainsFunc(strings.Split(stdout, "\n"), func(line string) bool {
				return strings.Join(strings.Fields(line), " ") == want
			}) {
				t.Errorf("limit %d: exiftool does not say %q:\n%s", limit, want, stdout)
			}
		}
	}
}

func TestTheProfileIsEmbeddedByteForByte(t *testing.T) {
	for name, want := range map[string][]byte{
		"Debian's sRGB":      debianProfile(t, "sRGB.icc"),
		"Debian's Adobe RGB": debianProfile(t, "colord/AdobeRGB1998.icc"),
		"an odd length":      profile("RGB ", 1001),
	} {
		for _, limit := range []int64{classicLimit, 100} {
			h := header(9, 9, 16, RGB, Deflate)
			h.Profile = want
			path, _ := writeFile(t, h, marsh(9, 9, 3), limit)
			if got, _ := tool(t, "exiftool", "-icc_profile", "-b", path); got != string(want) {
				t.Errorf("%s, limit %d: %d bytes came back as %d others", name, limit, len(want), len(got))
			}
		}
	}
}
