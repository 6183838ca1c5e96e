package main

import (
	"bytes"
	"context"
	"errors"
	"html"
	"image"
	"image/png"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.uber.org/zap"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/hold"
	"sizewright/internal/isolate"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

const firstLimits = "[limits]\nmax_megapixels = 1\nmax_file_mib = 3\n"

// sized is a studio whose configuration can lead to every hold.
const sized = `
[intake]
settle = "1ms"
` + firstLimits + `[print]
ppi = 72
minimum_ppi = 20
caution_ppi = 40
[media.card]
kind = "sheet"
width_mm = 105
length_mm = 148
[stock.plain]
[stock.torn]
profile = "torn.icc"
[stock.gone]
profile = "gone.icc"
[stock.narrow]
profile = "narrow.icc"
[stock.fine]
minimum_ppi = 100
caution_ppi = 100
[stock.strict]
strict_profile = true
[stock.card]
media = "card"
[stock.type]
media = "card"
caption = "{name}"
caption_font = "torn.otf"
[stock.numbered]
media = "card"
caption = "{edition}"
edition = 1
`

// ordered is one photograph for one drop folder of [sized], and what becomes of it.
type ordered struct {
	folder, file string
	data         []byte
	code         string        // of the hold; "": a print is made
	limits       string        // replaces the first of [sized]; "": those
	decode       order.Decoder // nil: the usual decoder
}

// orders has at least one order for each hold. A new hold needs an order here, or
// TestPlanSaysWhatOnceDoes fails.
func orders(t *testing.T) map[string]ordered {
	sound, fed := jpegFile(t, checked(144, 96)), feeds(t)
	failing := func(t error) order.Decoder {
		return func(context.Context, string, photo.Limits) (*photo.Photo, error) { return nil, t }
	}
	all := map[string]ordered{
		"a sound picture":                  {small, "marsh.jpg", sound, "", "", nil},
		"more pixels than are allowed":     {small, "large.jpg", jpegFile(t, checked(1600, 1000)), "too-large", "", nil},
		"more bytes than are read":         {small, "long.jpg", beforeEnd(sound, string(bytes.Repeat([]byte{0xff, 0xfe, 0xff, 0xff}, 1<<20))), "too-large", "", nil},
		"a stock that nobody configured":   {"60x40mm nowhere", "marsh.jpg", sound, "unknown-stock", "", nil},
		"a stock whose profile is broken":  {"60x40mm torn", "marsh.jpg", sound, "stock-profile", "", nil},
		"a stock whose profile is missing": {"60x40mm gone", "marsh.jpg", sound, "stock-profile", "", nil},
		"a caption in a broken font":       {"60x40mm type", "marsh.jpg", sound, "caption-font", "", nil},
		"a stock that misses its colours":  {"60x40mm narrow", "samphire.png", fed["out-of-gamut"].file, "", "", nil},
		"a profile that will not do":       {"60x40mm strict", "odd.png", fed["profile-unusable"].file, "profile-unusable", "", nil},
		"a profile for other values":       {"60x40mm strict", "grey.png", fed["profile-mismatch"].file, "profile-mismatch", "", nil},
		"half a profile":                   {"60x40mm strict", "half.png", fed["profile-unreadable"].file, "profile-unreadable", "", nil},
		"colours that are no colours":      {"60x40mm strict", "power.png", fed["colours-unreadable"].file, "colours-unreadable", "", nil},
		"too few pixels":                   {"A2 plain", "marsh.jpg", sound, "too-few-pixels", "", nil},
		"too little detail":                {"60x40mm fine", "soft.jpg", jpegFile(t, softened(432, 288)), "too-little-detail", "", nil},
		"few pixels":                       {small, "little.png", pngFile(t, checked(72, 48)), "", "", nil},
		"larger than the paper":            {"150x100mm card", "marsh.jpg", sound, "too-large-for-paper", "", nil},
		"more copies than the edition has": {"60x40mm numbered x2", "marsh.jpg", sound, "edition-used-up", "", nil},
		"one of an edition":                {"60x40mm numbered", "marsh.jpg", sound, "", "", nil},
		"alpha":                            {small, "mist.png", fed["alpha"].file, "", "", nil},
		"alpha everywhere":                 {small, "glass.png", pngFile(t, image.NewNRGBA(image.Rect(0, 0, 144, 96))), "unsupported", "", nil},
		"CMYK":                             {small, "inks.tif", fed["cmyk"].file, "", "", nil},
		"a JPEG without its last bits":     {small, "early.jpg", fed["unfinished"].file, "", "", nil},
		"words":                            {small, "words.jpg", []byte("These are words and no picture.\n"), "not-an-image", "", nil},
		"words without a picture's name":   {small, "words", []byte("These are words and no picture.\n"), "not-an-image", "", nil},
		"a damaged header":                 {small, "torn.jpg", append([]byte{0xff, 0xd8, 0xff, 0xc0, 0, 4, 1, 1}, sound[2:]...), "damaged", "", nil},
		"half a JPEG":                      {small, "half.jpg", sound[:len(sound)/2], "unfinished", "", nil},
		"half a PNG":                       {small, "half.png", fed["alpha"].file[:len(fed["alpha"].file)/2], "unfinished", "", nil},
		"half a TIFF":                      {small, "half.tif", fed["cmyk"].file[:len(fed["cmyk"].file)/2], "unfinished", "", nil},
		"nothing":                          {small, "empty.jpg", nil, "unfinished", "", nil},
		"zeros":                            {small, "zeros.jpg", make([]byte, 5000), "unfinished", "", nil},
		"a raw file":                       {small, "marsh.cr2", []byte("II*\x00\x10\x00\x00\x00CR\x02\x00 and then the mosaic"), "camera-raw", "", nil},
		"a raw file in a TIFF's clothes":   {small, "marsh.dng", dng, "camera-raw", "", nil},
		"an SVG":                           {small, "plan.svg", []byte("<?xml version=\"1.0\"?>\n<svg/>\n"), "unsupported", "", nil},
		"more memory than is allowed":      {small, "hungry.png", heavy(t), "stopped", "[limits]\nmax_memory_mib = 64\nmax_expansion = 1000000\n", nil},
		"a disk that gives no more of it":  {small, "lost.jpg", sound, "unreadable", "", failing(photo.Unreadable.Say("lost.jpg cannot be read"))},
	}
	all["ftypcrx "] = ordered{small, "marsh.jpg", []byte("\x00\x00\x00\x18ftypcrx \x00\x00"), "camera-raw", "", nil}
	for _, magic := range []string{"GIF89a", "%PDF-1.4"} {
		all[magic] = ordered{small, "marsh.jpg", []byte(magic + " and so on"), "unsupported", "", nil}
	}
	return all
}

// inInches is what the page says beside millimetres.
var inInches = regexp.MustCompile(` \([^()]* in\)`)

// dng is a TIFF's directory with a DNG's version.
var dng = []byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\xc6\x01\x00\x04\x00\x00\x00\x01\x04\x00\x00\x00\x00\x00\x00")

// elsewhere are the holds that no file and no configuration leads to, with the tests that
// show them.
var elsewhere = map[string]string{
	"interrupted": "a process that was killed ten times: TestAFileThatEndsTheProcessTimeAndAgainIsHeld in internal/daemon",
	"internal":    "a mistake in the program: TestAMistakeInTheProgramHoldsOnePictureAndTheNightGoesOn in internal/daemon",
	"no-decoder":  "a HEIF where no program decodes it: TestWithoutADecoderAHEIFSaysWhatToInstall in internal/photo",
	"not-a-file":  "a link or a folder, which is not taken from a drop folder: TestWhatIsNoFileIsHeldByPlan",
}

// plan and once make the same decision about a file: the same result, words, cautions and
// exit status. Every hold occurs, and the page shows it with its remedy.
func TestPlanSaysWhatOnceDoes(t *testing.T) {
	all := orders(t)
	for _, k := range hold.All() {
		if elsewhere[k.Code] == "" && !slices.ContainsFunc(slices.Collect(maps.Values(all)), func(o ordered) bool { return o.code == k.Code }) {
			t.Errorf("no order leads to the hold %q: add one to orders", k.Code)
		}
		if k.Remedy == "" {
			t.Errorf("%s: nothing is said of what to do", k.Code)
		}
	}
	for name, o := range all {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o.agrees(t)
		})
	}
}

func (o ordered) agrees(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "studio")
	config := sized
	if o.limits != "" {
		config = strings.Replace(config, firstLimits, o.limits, 1)
	}
	must(t, studio.Init(dir, []byte(config), []string{o.folder}))
	must(t, os.WriteFile(filepath.Join(dir, "narrow.icc"), colour.SRGBProfile(), 0o644))
	must(t, os.WriteFile(filepath.Join(dir, "torn.icc"), []byte("no profile"), 0o644))
	path := filepath.Join(dir, "drop", o.folder, o.file)
	must(t, os.WriteFile(path, o.data, 0o644))
	if o.decode == nil {
		o.decode = isolate.Open
	}
	planned := o.plans(t, path, dir)
	result := once1(t, dir, o.decode)
	ended := verdict(&result.Night.Night)

	if planned.Code != o.code {
		t.Errorf("plan: held for %q, want %q (%s)", planned.Code, o.code, planned.Reason)
	}
	if made := o.made(t, result); made.Code != planned.Code || made.Reason != planned.Reason || made.Remedy != planned.Remedy {
		t.Errorf("plan says %q %q %q, once %q %q %q", planned.Code, planned.Reason, planned.Remedy, made.Code, made.Reason, made.Remedy)
	} else if o.code != "unfinished" && !slices.Equal(planned.Cautions, made.Cautions) {
		t.Errorf("plan cautions of\n%v\nand once of\n%v", planned.Cautions, made.Cautions)
	}
	if held := o.code != ""; errors.Is(ended, errHeld) != held {
		t.Errorf("once ends with %v", ended)
	}
	page, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(result.Page)))
	must(t, err)
	text := inInches.ReplaceAllString(plainText(html.UnescapeString(string(page))), "")
	for _, said := range []string{strings.TrimPrefix(planned.Reason, o.file+" is unfinished: "), planned.Remedy} {
		if said = strings.TrimPrefix(said, o.file+": "); said != "" && !strings.Contains(text, onPage(said)) {
			t.Errorf("the page does not say %q", said)
		}
	}
}

// plans returns what plan says, in the form of a record.
func (o ordered) plans(t *testing.T, path, dir string) (r record.Record) {
	t.Helper()
	desk, err := deskOf(io.Discard, dir)
	must(t, err)
	desk.Decode = o.decode
	d, err := decideAt(t.Context(), desk, path, o.folder, nil)
	must(t, err)
	if r.Cautions = d.Cautions; d.Hold != nil {
		r.Hold(d.Hold)
	}
	return r
}

// made returns what once says: in the record, or for an incomplete file in the night.
func (o ordered) made(t *testing.T, result *daemon.Result) record.Record {
	t.Helper()
	night := result.Night
	switch {
	case len(night.Records) == 1:
		return night.Records[0].Record
	case len(night.Left) == 1:
		left := night.Left[0]
		_, missing, _ := strings.Cut(left.Text, " since ")
		_, missing, _ = strings.Cut(missing[len("2026-03-14 06:12"):], ": ")
		return record.Record{Status: record.Held, Code: left.Code, Reason: left.Name + " is unfinished: " + missing, Remedy: left.Remedy}
	}
	t.Fatalf("%d records, want 1; left: %v, faults: %v", len(night.Records), night.Left, night.Faults)
	return record.Record{}
}

// once1 makes the only waiting picture.
func once1(t *testing.T, dir string, decode order.Decoder) *daemon.Result {
	t.Helper()
	s, err := studio.Open(dir)
	must(t, err)
	defer s.Close()
	cfg, err := config.Load(s.ConfigPath())
	must(t, err)
	result, err := daemon.Once(context.Background(), daemon.Options{Studio: s, Config: cfg, Log: zap.NewNop(), Decode: decode})
	must(t, err)
	return result
}

// Something that is not a file is a hold for plan, and once leaves it in place; both end
// with 3.
func TestWhatIsNoFileIsHeldByPlan(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "studio")
	must(t, studio.Init(dir, []byte(sized), []string{small}))
	path := filepath.Join(dir, "drop", small, "marsh.jpg")
	must(t, os.Symlink("/etc/hostname", path))
	d, err := decide(t.Context(), io.Discard, path, small, dir, nil)
	must(t, err)
	if !errors.Is(d.Hold, photo.NotAFile) {
		t.Errorf("held for %v", d.Hold)
	}
	if result := once1(t, dir, isolate.Open); !errors.Is(verdict(&result.Night.Night), errHeld) || len(result.Night.Records) != 0 {
		t.Errorf("once made %v and left %v", result.Night.Records, result.Night.Left)
	}
}

// heavy is a small file whose picture takes about 70 MB.
func heavy(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	must(t, e.Encode(&b, image.NewGray16(image.Rect(0, 0, 6000, 5900))))
	return b.Bytes()
}

// softened is a picture whose finest detail is much coarser than its pixels.
func softened(w, h int) image.Image {
	img := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Pix[y*img.Stride+x] = uint8(128 + 100*math.Sin(float64(x)/9)*math.Sin(float64(y)/7))
		}
	}
	return img
}
