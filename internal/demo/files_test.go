package demo

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"strings"
	"testing"

	"github.com/rwcarlsen/goexif/exif"
)

func TestTheProfileComesBackByteForByte(t *testing.T) {
	for _, p := range Pictures() {
		t.Run(p.Name, func(t *testing.T) {
			got := tool(t, "exiftool", "-b", "-icc_profile", written(t, p))
			var want []byte
			if p.profile != nil {
				want = p.profile()
			}
			if !bytes.Equal(got, want) {
				t.Errorf("ExifTool finds a profile of %d bytes, not the %d put in", len(got), len(want))
			}
		})
	}
}

func TestOnePictureHasNoProfile(t *testing.T) {
	data, err := os.ReadFile(written(t, named(t, "low-water.jpg")))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(data, []byte("ICC_PROFILE")) {
		t.Error("the picture that lost its profile has one")
	}
}

// ICC.1:2022 annex B.4: a profile too large for one APP2 segment goes into several, numbered from 1.
func TestALargeProfileIsCutIntoNumberedSegments(t *testing.T) {
	profile := make([]byte, 150_000)
	for i := range profile {
		profile[i] = byte(hash(uint32(i), 0, 0))
	}
	var file bytes.Buffer
	if err := writeJPEG(&file, image.NewGray(image.Rect(0, 0, 8, 8)), 90, []byte("II*\x00"), profile); err != nil {
		t.Fatal(err)
	}
	var joined []byte
	segments := 0
	for data := file.Bytes()[2:]; data[1] != 0xDB; { // up to the first quantisation table
		size := int(binary.BigEndian.Uint16(data[2:]))
		if body := data[4 : 2+size]; data[1] == 0xE2 {
			segments++
			if string(body[:12]) != "ICC_PROFILE\x00" || int(body[12]) != segments || body[13] != 3 {
				t.Errorf("segment %d is headed %q", segments, body[:14])
			}
			joined = append(joined, body[14:]...)
		}
		data = data[2+size:]
	}
	if segments != 3 || !bytes.Equal(joined, profile) {
		t.Errorf("%d segments hold %d bytes", segments, len(joined))
	}
}

func TestSegmentsAndChunksLeaveThePixelsAlone(t *testing.T) {
	img := image.NewRGBA64(image.Rect(0, 0, 37, 23))
	for i := range img.Pix {
		img.Pix[i] = byte(hash(uint32(i), 1, 2))
		if i%8 >= 6 {
			img.Pix[i] = 255
		}
	}
	var withExtras, plain bytes.Buffer
	if err := writePNG(&withExtras, img, []byte("MM\x00*"), make([]byte, 3000)); err != nil {
		t.Fatal(err)
	}
	back, err := png.Decode(&withExtras)
	if err != nil {
		t.Fatal(err)
	}
	for y := range 23 {
		for x := range 37 {
			r, g, b, _ := back.At(x, y).RGBA()
			if c := img.RGBA64At(x, y); r != uint32(c.R) || g != uint32(c.G) || b != uint32(c.B) {
				t.Fatalf("PNG pixel (%d, %d) came back as %d %d %d, was %v", x, y, r, g, b, c)
			}
		}
	}

	withExtras.Reset()
	if err := writeJPEG(&withExtras, img, 93, []byte("II*\x00"), make([]byte, 3000)); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&plain, img, &jpeg.Options{Quality: 93}); err != nil {
		t.Fatal(err)
	}
	if !bytes.HasSuffix(withExtras.Bytes(), plain.Bytes()[2:]) {
		t.Error("the JPEG's picture is not what the encoder wrote")
	}
}

// The encoders write to these writers in pieces of any size.
func TestWritersTakePiecesOfAnySize(t *testing.T) {
	const message = "0123456789"
	for size := 1; size <= len(message); size++ {
		var dropped, inserted bytes.Buffer
		drop, insert := &dropFirst{&dropped, 3}, &insertAt{&inserted, 4, []byte("--")}
		for at := 0; at < len(message); at += size {
			piece := []byte(message[at:min(at+size, len(message))])
			for _, w := range []interface{ Write([]byte) (int, error) }{drop, insert} {
				if n, err := w.Write(piece); n != len(piece) || err != nil {
					t.Errorf("pieces of %d: wrote %d, %v", size, n, err)
				}
			}
		}
		if dropped.String() != "3456789" || inserted.String() != "0123--456789" {
			t.Errorf("pieces of %d: %q and %q", size, &dropped, &inserted)
		}
	}
}

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
