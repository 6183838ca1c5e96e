package demo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/rwcarlsen/goexif/exif"
)

func TestGoexifReadsWhatTheCameraWrote(t *testing.T) {
	p := named(t, "channel-stakes.jpg")
	file, err := os.Open(written(t, p))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	x, err := exif.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	for field, want := range map[exif.FieldName]string{
		exif.Make: `"Demo Camera"`, exif.Model: `"Demo 26"`, exif.LensModel: `"Demo 24-70mm F4"`,
		exif.Artist: `"Hester Quillfen"`, exif.Copyright: `"(c) 2025 Marrowick Print Room"`,
		exif.ImageDescription: `"Channel stakes"`, exif.DateTimeOriginal: `"2025:10:19 07:21:18"`,
		exif.Orientation: "6", exif.ISOSpeedRatings: "64", exif.ExposureTime: `"30/1"`, exif.FNumber: `"11/1"`,
		exif.FocalLength: `"34/1"`, exif.FocalLengthIn35mmFilm: "34", exif.ColorSpace: "1",
		exif.XResolution: `"300/1"`, exif.ResolutionUnit: "2",
		exif.PixelXDimension: fmt.Sprint(p.Width / 16), exif.PixelYDimension: fmt.Sprint(p.Height / 16),
		exif.InteroperabilityIndex: `"R98"`,
	} {
		tag, err := x.Get(field)
		if err != nil {
			t.Errorf("%s: %v", field, err)
		} else if tag.String() != want {
			t.Errorf("%s is %s, not %s", field, tag, want)
		}
	}
	if taken, err := x.DateTime(); err != nil || taken.Format("2006-01-02 15:04") != "2025-10-19 07:21" {
		t.Errorf("taken %v, %v", taken, err)
	}
}

// ExifTool's -validate knows what EXIF 2.32, JPEG and PNG demand and says what is missing or malformed.
func TestExifToolFindsNothingToComplainOf(t *testing.T) {
	for _, p := range Pictures() {
		if p.cut || p.format == deepTIFF { // the TIFF's tags are package tiff's
			continue
		}
		t.Run(p.Name, func(t *testing.T) {
			out := tool(t, "exiftool", "-validate", "-warning", "-error", "-a", "-s3", written(t, p))
			if got := strings.TrimSpace(string(out)); got != "OK" {
				t.Errorf("exiftool -validate: %s", got)
			}
		})
	}
}

func TestExifToolReadsEveryPicture(t *testing.T) {
	for _, p := range Pictures() {
		t.Run(p.Name, func(t *testing.T) {
			out := exiftoolJSON(t, written(t, p))
			want := p.full()
			if out.Make != "Demo Camera" || out.Model != want.model || out.Artist != want.artist ||
				out.Copyright != rights || out.DateTimeOriginal != want.taken {
				t.Errorf("ExifTool reads %+v", out)
			}
			if p.format != deepTIFF && (out.LensModel != want.lens || out.ISO != int(want.iso) || out.Orientation != int(want.orientation)) {
				t.Errorf("ExifTool reads %+v", out)
			}
		})
	}
}

type exiftoolTags struct {
	Make, Model, LensModel, Artist, Copyright, DateTimeOriginal string
	ISO, Orientation                                            int
}

func exiftoolJSON(t *testing.T, path string) exiftoolTags {
	t.Helper()
	var tags []exiftoolTags
	if err := json.Unmarshal(tool(t, "exiftool", "-json", "-n", path), &tags); err != nil || len(tags) != 1 {
		t.Fatalf("exiftool -json: %v, %d files", err, len(tags))
	}
	return tags[0]
}

func TestTheWideGamutShotNamesNoStandardSpace(t *testing.T) {
	s := named(t, "samphire-in-september.tif").full()
	x, err := exif.Decode(bytes.NewReader(s.exif()))
	if err != nil {
		t.Fatal(err)
	}
	for field, want := range map[exif.FieldName]string{exif.ColorSpace: "65535", exif.InteroperabilityIndex: `"R03"`} {
		if tag, err := x.Get(field); err != nil || tag.String() != want {
			t.Errorf("%s is %v, %v, not %s", field, tag, err, want)
		}
	}
}

// TIFF 6.0, section 2: entries in rising order, values on even offsets.
func TestDirectoriesKeepTheRulesOfTIFF(t *testing.T) {
	s := named(t, "low-water.jpg").full()
	for name, tags := range map[string][]tag{"main": s.mainTags(), "exif": s.detailTags(), "interop": s.interopTags()} {
		for i := 1; i < len(tags); i++ {
			if tags[i].id <= tags[i-1].id {
				t.Errorf("%s: tag %#04x follows %#04x", name, tags[i].id, tags[i-1].id)
			}
		}
		if n := len(appendDirectory(nil, tags)); n != directorySize(tags) || n%2 != 0 {
			t.Errorf("%s: %d bytes where %d were foreseen", name, n, directorySize(tags))
		}
	}
}
