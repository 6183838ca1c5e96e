package main

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"html"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.uber.org/zap"

	"sizewright/internal/caution"
	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/studio"
	"sizewright/internal/testkit/reference"
)

// fed is a file that leads to a caution in a folder of [cautious].
type fed struct {
	folder, name string
	file         []byte
}

// cautious is a studio of small prints with a folder for every caution about paper or
// colour.
const cautious = `
[intake]
settle = "1ms"
[print]
ppi = 72
minimum_ppi = 10
caution_ppi = 40
[media.card]
kind = "sheet"
width_mm = 105
length_mm = 148
[media.card.mode.fine]
side = "trailing"
extra_mm = 20
[stock.plain]
[stock.shrunk]
too_small = "largest"
[stock.insisted]
too_small = "make"
[stock.narrow]
profile = "narrow.icc"
[stock.web]
working_space = "srgb"
[stock.wrapped]
media = "card"
wrap_mm = 5
[stock.trimmed]
media = "card"
trim_marks = true
[stock.fine]
media = "card"
mode = "fine"
placement = "printable"
[stock.named]
media = "card"
caption = "{name}"
[stock.low]
media = "card"
[stock.matted]
media = "card"
border = "mat"
outer_width_mm = 80
outer_height_mm = 60
overlap_mm = 5
`

const small = "60x40mm plain"

// gainMapped is a HEIC whose mask says that it is a telephone's gain map.
func gainMapped(t *testing.T, png []byte) []byte {
	t.Helper()
	return bytes.Replace(heicOf(t, png), []byte("urn:mpeg:hevc:2015:auxid:1"), []byte("com:photo:2020:hdrgainmap\x00"), 1)
}

// withWords adds so many keywords of IPTC to a JPEG.
func withWords(jpeg []byte, n int) []byte {
	record := strings.Repeat("\x1c\x02\x19\x00\x04reed", n)
	block := "Photoshop 3.0\x00" + "8BIM\x04\x04\x00\x00" + string(binary.BigEndian.AppendUint32(nil, uint32(len(record)))) + record
	segment := append([]byte{0xff, 0xed}, binary.BigEndian.AppendUint16(nil, uint16(2+len(block)))...)
	return slices.Concat(jpeg[:2], segment, []byte(block), jpeg[2:])
}

func heicOf(t *testing.T, png []byte) []byte {
	t.Helper()
	from, to := filepath.Join(t.TempDir(), "p.png"), filepath.Join(t.TempDir(), "p.heic")
	if err := os.WriteFile(from, png, 0o600); err != nil {
		t.Fatal(err)
	}
	reference.Output(t, "heif-enc", from, "-o", to)
	b, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// feeds has a file for every caution's code. A new code needs a file here, or
// TestEveryCautionReachesRecordPageAndPlan fails.
func feeds(t *testing.T) map[string]fed {
	sound := jpegFile(t, checked(144, 96))
	return map[string]fed{
		photo.CautionAlpha.Code:       {small, "mist.png", pngFile(t, fading(144, 96))},
		photo.CautionWrongSuffix.Code: {small, "marsh.png", sound},
		photo.CautionProfile.Code:     {small, "torn.png", withChunk(pngFile(t, checked(144, 96)), "iCCP", "p\x00\x00no zlib")},
		photo.CautionEXIF.Code:        {small, "blank.png", withChunk(pngFile(t, checked(144, 96)), "eXIf", "MM\x00\x2a\x00\x00\xff\xff")},
		photo.CautionWords.Code:       {small, "words.jpg", withWords(jpegFile(t, checked(174, 116)), 257)},
		photo.CautionPages.Code:       {small, "book.tif", magicked(t, sound, "book.tif", "(", "+clone", "-negate", ")")},
		photo.CautionChannels.Code: {small, "chosen.tif", magicked(t, sound, "chosen.tif",
			"-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel", "-define", "tiff:alpha=unspecified")},
		photo.CautionUnfinished.Code: {small, "early.jpg", withoutLastPass(t, magicked(t, sound, "woven.jpg", "-interlace", "JPEG"))},
		photo.CautionChanged.Code:    {small, "bit.jpg", beforeEnd(sound, "reed")},
		photo.CautionIrregular.Code:  {small, "zeros.jpg", beforeEnd(sound, "\x00\x00\x00\x00")},
		photo.CautionNoChecksum.Code: {small, "plain.heic", heicOf(t, pngFile(t, checked(180, 120)))},
		photo.CautionGainMap.Code:    {small, "phone.heic", gainMapped(t, pngFile(t, fading(144, 96)))},
		madeAnew:                     {small, "again.jpg", jpegFile(t, checked(156, 104))},
		recipeChanged:                {small, "earlier.jpg", jpegFile(t, checked(162, 108))},
		"stated-colours":             {small, "camera.png", withChunk(pngFile(t, checked(168, 112)), "eXIf", saysSRGB)},
		"guessed-inks":               {small, "inks.tif", magicked(t, sound, "inks.tif", "-colorspace", "CMYK")},
		"no-profile":                 {small, "plain.jpg", jpegFile(t, checked(150, 100))},
		photo.CautionColours.Code:    {small, "power.png", withChunk(pngFile(t, checked(144, 96)), "gAMA", "\x00")},
		"profile-overruled":          {small, "p3.png", withChunk(withProfile(pngFile(t, checked(144, 96)), colour.ROMMProfile()), "cICP", "\x0c\x0d\x00\x01")},
		"linear-light":               {small, "light.png", withChunk(pngFile(t, checked(144, 96)), "cICP", "\x01\x08\x00\x01")},
		"high-range":                 {small, "bright.png", withProfile(pngFile(t, checked(144, 96)), withTag(colour.ROMMProfile(), "cicp\x00\x00\x00\x00\x09\x10\x00\x01"))},
		"profile-unusable":           {small, "odd.png", withProfile(pngFile(t, checked(144, 96)), bytes.Repeat([]byte("reed"), 64))},
		"profile-mismatch":           {small, "grey.png", withProfile(pngFile(t, checked(144, 96)), colour.GreyProfile())},
		"cmyk":                       {small, "inks.tif", magicked(t, sound, "inks.tif", "-colorspace", "CMYK")},
		"low-resolution":             {small, "little.png", pngFile(t, checked(72, 48))},
		"made-smaller":               {"60x40mm shrunk", "less.png", pngFile(t, checked(18, 12))},
		"too-small":                  {"60x40mm insisted", "least.png", pngFile(t, checked(21, 14))},
		"out-of-gamut":               {"60x40mm narrow", "samphire.png", withProfile(pngFile(t, image.NewUniform(color.RGBA{G: 255, A: 255})), colour.ROMMProfile())},
		"out-of-working-space":       {"60x40mm web", "samphire.png", withProfile(pngFile(t, image.NewUniform(color.RGBA{G: 255, A: 255})), colour.ROMMProfile())},
		"no-bleed":                   {"60x40mm trimmed", "edge.jpg", sound},
		"not-the-shape-of-its-bars":  {"60x50mm wrapped", "wrapped.jpg", sound},
		"subject-cut":                {"60x12mm plain auto", "band.png", pngFile(t, band(180, 120))},
		"mode":                       {"60x40mm fine", "fine.jpg", sound},
		"caption-letters":            {"60x40mm named", "塩 marsh.jpg", sound},
		"moved":                      {"130x85mm low", "low.jpg", sound},
		"mat-covers":                 {"90x60mm matted", "matted.jpg", sound},
	}
}

// band is smooth but for its middle, which is full of detail.
func band(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Rect, image.NewUniform(color.Gray{150}), image.Point{}, draw.Src)
	for y := h * 3 / 10; y < h*7/10; y++ {
		for x := range w {
			img.Set(x, y, color.Gray{uint8((x/4 ^ y/4) & 1 * 200)})
		}
	}
	return img
}

// saysSRGB is EXIF with the colour space sRGB alone (CIPA DC-008, ColorSpace 1).
const saysSRGB = "MM\x00*\x00\x00\x00\x08" +
	"\x00\x01" + "\x87\x69\x00\x04\x00\x00\x00\x01\x00\x00\x00\x1a" + "\x00\x00\x00\x00" +
	"\x00\x01" + "\xa0\x01\x00\x03\x00\x00\x00\x01\x00\x01\x00\x00" + "\x00\x00\x00\x00"

// gradeOf is the grade of a code.
func gradeOf(code string) caution.Grade { return caution.Of(caution.Caution{Code: code}).Grade }

// These two are about what lies in the outbox, of which no plan knows: their files were
// printed before, and one print is emptied, the other made by another recipe.
const (
	madeAnew      = "made-anew"
	recipeChanged = "recipe-changed"
)

// unreached are the codes that no print can have.
var unreached = map[string]string{
	"stock-label": "this studio names stocks; TestAWordAfterTheSizeIsALabelWhereThereAreNoStocks has one that does not",
	"too-large":   "a layout that is too large is a refusal (too-large-for-paper), which says it in these words",
}

// Every caution of the program gets from a real file to the print's record and the morning
// page, and the plan has the same cautions as the record.
func TestEveryCautionReachesRecordPageAndPlan(t *testing.T) {
	all, known := feeds(t), cautionCodes(t)
	dir := filepath.Join(t.TempDir(), "studio")
	var folders []string
	for _, code := range known {
		f, ok := all[code]
		if !ok {
			t.Errorf("no file leads to the caution %q: add one to feeds", code)
			continue
		}
		if !slices.Contains(folders, f.folder) {
			folders = append(folders, f.folder)
		}
	}
	for code := range all {
		if !slices.Contains(known, code) {
			t.Errorf("the program has no caution %q", code)
		}
	}
	must(t, studio.Init(dir, []byte(cautious), folders))
	must(t, os.WriteFile(filepath.Join(dir, "narrow.icc"), colour.SRGBProfile(), 0o644))
	drop := func(f fed) { must(t, os.WriteFile(filepath.Join(dir, "drop", f.folder, f.name), f.file, 0o644)) }
	drop(all[madeAnew])
	drop(all[recipeChanged])
	earlier, _ := night(t, dir)
	must(t, os.Truncate(filepath.Join(dir, "outbox", small, "again.tif"), 0))
	ofEarlierRecipe(t, dir, earlier[small+"/earlier.jpg"])
	for _, f := range all {
		drop(f)
	}
	records, page := night(t, dir)
	for code, f := range all {
		r := records[f.folder+"/"+f.name]
		if r == nil || r.Status != record.StatusOf(r.Verdict, r.Cautions) || r.Status == record.Ready && gradeOf(code) > caution.ForTheRecord {
			t.Errorf("%s: %s in %s came to %+v", code, f.name, f.folder, r)
			continue
		}
		if !slices.ContainsFunc(r.Cautions, func(c photo.Caution) bool { return c.Code == code }) {
			t.Errorf("%s: the record of %s has %v", code, f.name, r.Cautions)
		}
		for _, c := range r.Cautions {
			if !strings.Contains(page, onPage(c.Text)) {
				t.Errorf("%s: the page does not say of %s: %s", c.Code, f.name, c.Text)
			}
		}
		p, err := decide(t.Context(), io.Discard, filepath.Join(dir, "originals", f.folder, f.name), f.folder, dir, nil)
		must(t, err)
		ofPicture := slices.DeleteFunc(slices.Clone(r.Cautions), func(c photo.Caution) bool { return c.Code == madeAnew || c.Code == recipeChanged })
		if !slices.Equal(p.Cautions, ofPicture) {
			t.Errorf("%s: the plan of %s says\n%v\nand its record\n%v", code, f.name, p.Cautions, r.Cautions)
		}
	}
}

// ofEarlierRecipe changes a print's record as if a program of an earlier recipe made it.
func ofEarlierRecipe(t *testing.T, dir string, r *record.Record) {
	t.Helper()
	d, err := decide(t.Context(), io.Discard, filepath.Join(dir, r.Source.Original), r.Order.Folder, dir, nil)
	must(t, err)
	r.Recipe, r.Identity = render.RecipeVersion-1, d.IdentityBy(render.RecipeVersion-1, r.Source.SHA256)
	data, err := r.Encode()
	must(t, err)
	must(t, os.WriteFile(filepath.Join(dir, "outbox", r.Order.Folder, "earlier.json"), data, 0o644))
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// night makes what waits. It returns the records by folder and name, and the morning page's
// text.
func night(t *testing.T, dir string) (map[string]*record.Record, string) {
	t.Helper()
	s, err := studio.Open(dir)
	must(t, err)
	defer s.Close()
	cfg, err := config.Load(s.ConfigPath())
	must(t, err)
	result, err := daemon.Once(context.Background(), daemon.Options{Studio: s, Config: cfg, Log: zap.NewNop()})
	must(t, err)
	records := map[string]*record.Record{}
	for _, e := range result.Night.Records {
		records[e.Record.Order.Folder+"/"+e.Record.Source.Name] = &e.Record
	}
	page, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(result.Page)))
	must(t, err)
	return records, plainText(html.UnescapeString(string(page)))
}

// onPage returns a record's sentence as the page shows it: typeset, with a capital.
func onPage(text string) string { return plainText(text)[1:] }

// plainText undoes typesetting.
func plainText(text string) string {
	return strings.NewReplacer("\u00a0", " ", "\u00d7", "x").Replace(text)
}

// cautionCodes returns the codes of all cautions that a print can have, from the table. A
// caution made without the table fails the test.
func cautionCodes(t *testing.T) (codes []string) {
	t.Helper()
	for _, root := range []string{"../../internal", "."} {
		must(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") || filepath.Base(filepath.Dir(path)) == "caution" {
				return err
			}
			text, err := os.ReadFile(path)
			if at := madeBeside.FindIndex(text); at != nil {
				t.Errorf("%s: a caution that is not of the table of package caution: %s", path, text[at[0]:at[1]])
			}
			return err
		}))
	}
	for _, k := range caution.All() {
		if unreached[k.Code] == "" {
			codes = append(codes, k.Code)
		}
		if k.Do == "" && k.Grade > caution.ForTheRecord {
			t.Errorf("%s asks for a person and does not say what to do", k.Code)
		}
	}
	return codes
}

// madeBeside finds source text that makes a caution without [caution.Kind.Say].
var madeBeside = regexp.MustCompile(`Caution\{[^}\n]+`)

func jpegFile(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	must(t, jpeg.Encode(&b, img, nil))
	return b.Bytes()
}

// withTag adds a tag to an ICC profile; its data begin with its signature.
func withTag(profile []byte, data string) []byte {
	const table, entry = 128, 12
	n := binary.BigEndian.Uint32(profile[table:])
	head, rest := table+4+entry*int(n), len(profile)+entry
	out := slices.Concat(profile[:head], []byte(data[:4]), make([]byte, 8), profile[head:], []byte(data))
	binary.BigEndian.PutUint32(out, uint32(len(out)))
	binary.BigEndian.PutUint32(out[table:], n+1)
	for i := range n {
		at := out[table+4+entry*int(i)+4:]
		binary.BigEndian.PutUint32(at, binary.BigEndian.Uint32(at)+entry)
	}
	binary.BigEndian.PutUint32(out[head+4:], uint32(rest))
	binary.BigEndian.PutUint32(out[head+8:], uint32(len(data)))
	return out
}

// pngFile encodes a picture; one without end is 144 x 96.
func pngFile(t *testing.T, img image.Image) []byte {
	t.Helper()
	if u, ok := img.(*image.Uniform); ok {
		r := image.NewRGBA(image.Rect(0, 0, 144, 96))
		for i := range r.Pix {
			r.Pix[i] = [4]byte{u.C.(color.RGBA).R, u.C.(color.RGBA).G, u.C.(color.RGBA).B, 255}[i%4]
		}
		img = r
	}
	var b bytes.Buffer
	must(t, png.Encode(&b, img))
	return b.Bytes()
}

// fading is a picture whose alpha decreases from one side to the other.
func fading(w, h int) image.Image {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, color.NRGBA{uint8(x), uint8(y), 90, uint8(255 * x / w)})
		}
	}
	return img
}

// withChunk puts a chunk after a PNG's header.
func withChunk(file []byte, name, data string) []byte {
	const afterHeader = 8 + 12 + 13
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	chunk = append(append(chunk, name...), data...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	return slices.Concat(file[:afterHeader], chunk, file[afterHeader:])
}

// withProfile embeds a profile in a PNG.
func withProfile(file, profile []byte) []byte {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	z.Write(profile)
	z.Close()
	return withChunk(file, "iCCP", "p\x00\x00"+packed.String())
}

// magicked is a JPEG changed by ImageMagick.
func magicked(t *testing.T, file []byte, name string, args ...string) []byte {
	t.Helper()
	dir := t.TempDir()
	from, to := filepath.Join(dir, "from.jpg"), filepath.Join(dir, name)
	must(t, os.WriteFile(from, file, 0o644))
	reference.Output(t, "convert", slices.Concat([]string{from}, args, []string{to})...)
	made, err := os.ReadFile(to)
	must(t, err)
	return made
}

// withoutLastPass ends a progressive JPEG before its last scan.
func withoutLastPass(t *testing.T, file []byte) []byte {
	t.Helper()
	at := bytes.LastIndex(file, []byte("\xff\xda"))
	if at < 0 {
		t.Fatal("no scan")
	}
	return append(slices.Clone(file[:at]), 0xff, 0xd9)
}

// beforeEnd puts bytes before a JPEG's end marker.
func beforeEnd(file []byte, bytes string) []byte {
	return slices.Concat(file[:len(file)-2], []byte(bytes), file[len(file)-2:])
}

// The record of a held picture has its cautions too.
func TestAHeldPictureKeepsItsCautions(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "studio")
	must(t, studio.Init(dir, []byte(cautious), []string{"A2 plain"}))
	must(t, os.WriteFile(filepath.Join(dir, "drop/A2 plain/marsh.png"), jpegFile(t, checked(144, 96)), 0o644))
	records, _ := night(t, dir)
	r := records["A2 plain/marsh.png"]
	if r == nil || r.Status != record.Held || !strings.Contains(fmt.Sprint(r.Cautions), photo.CautionWrongSuffix.Code) {
		t.Errorf("%+v", r)
	}
}
