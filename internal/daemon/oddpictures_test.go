package daemon

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"sizewright/configs"
	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/hold"
	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/report"
	"sizewright/internal/testkit/reference"
)

// oddCases is how many odd pictures every run of the tests takes: a second' worth.
const oddCases = 60

// Whatever is dropped, what is decided and measured of it can be recorded: pictures of a
// pixel or of thirty thousand in one row, prints from a thumbnail to a wall, every ppi
// and distance that the configuration takes. What is rounded stays within the bounds
// that the schemas give.
func TestOddPicturesHaveTheFormOfTheSchema(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "paper.icc"), colour.ROMMProfile(), 0o644); err != nil {
		t.Fatal(err)
	}
	recordSchema, morningSchema := reference.Schema(t, configs.PrintRecordSchema), reference.Schema(t, configs.MorningSchema)
	made := map[record.Status]int{}
	for seed := range uint64(oddCases) {
		o := oddOrder(rand.New(rand.NewPCG(seed, 7)))
		r := o.record(t, dir)
		made[r.Status]++
		data, err := r.Encode()
		if err == nil {
			err = follows(recordSchema, data)
		}
		if err != nil {
			t.Errorf("%d, %s: the record: %v", seed, o.name, err)
			continue
		}
		records := []record.Entry{{Path: "outbox/" + o.folder + "/odd.json", Record: *r}}
		night := report.Night{Night: record.Night{Date: "2026-03-14", Records: records}, Paper: packing.Of(records)}
		if data, err = night.JSON(); err == nil {
			err = follows(morningSchema, data)
		}
		if err != nil {
			t.Errorf("%d, %s: the report: %v", seed, o.name, err)
		}
	}
	t.Logf("%d orders came to %v", oddCases, made)
	if len(made) < 3 {
		t.Errorf("%v: meant to come to every end", made)
	}
}

func follows(s *jsonschema.Schema, data []byte) error {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return err
	}
	return s.Validate(doc)
}

// odd is an order of a picture that nobody would think of.
type odd struct {
	name, file, folder, toml string
	picture                  []byte
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

func oddOrder(r *rand.Rand) odd {
	w := pick(r, 1, 1, 2, 3, 5, 7, 8, 12, 12, 13, 17, 31, 64, 65, 200, 500, 1999, 30000, 30000)
	h := pick(r, 1, 1, 2, 4, 7, 8, 12, 12, 16, 17, 33, 100, 300, 1000, 20000)
	for w*h > 200_000 {
		w, h = max(w/3, 1), max(h/2, 1)
	}
	if r.IntN(4) == 0 {
		w, h = h, w
	}
	folder := pick(r, "10x10mm", "10x10mm", "10x20000mm", "10x10m", "20x20m", "A6", "A4", "24x36in", "40x60in", "11x17mm", "1x1in", "3x5in", "A0", "B10")
	if r.IntN(3) == 0 {
		folder += pick(r, " paper", " roll", " bordered", " profile")
	}
	var b strings.Builder
	set := func(key string, of ...any) {
		if v := of[r.IntN(len(of))]; v != nil {
			fmt.Fprintf(&b, "%s = %v\n", key, v)
		}
	}
	b.WriteString("[print]\n")
	set("ppi", 72, 72, 100, 150, 360, 360, 720, 1440, 2880, 73.37)
	set("minimum_ppi", 10, 10, 10, nil)
	set("caution_ppi", 10, 2880, nil)
	set("too_small", `"hold"`, `"largest"`, `"make"`)
	set("viewing_distance_mm", 100, 100_000, nil, nil)
	set("acuity", 0.25, 1, 3)
	set("fit", `"whole"`, `"fill"`)
	set("bits", 8, 16)
	set("kernel", `"lanczos3"`, `"mitchell"`, nil)
	set("surface", `"glossy"`, `"canvas"`)
	set("pre_sharpening", 0, 1, 2)
	set("blur_px", 0, 0.3, 3)
	set("output_sharpening", 0, 1, 2)
	set("grain", 0, 5)
	b.WriteString("[media.sheet]\nkind = \"sheet\"\nwidth_mm = 329\nlength_mm = 483\n[media.roll]\nkind = \"roll\"\nwidth_mm = 1118\n" +
		"[stock.paper]\nmedia = [\"sheet\", \"roll\"]\nprice_per_m2 = 0.01\ntrim_marks = true\nbleed_mm = 3\n" +
		"[stock.roll]\nmedia = [\"roll\"]\npack = true\npace_m2_per_hour = 1000\nprice_per_m2 = 24\n" +
		"[stock.bordered]\nmedia = [\"sheet\"]\nborder = \"bottom-weighted\"\nborder_mm = 20\ncaption = \"{name}, {size}\"\n" +
		"[stock.profile]\nprofile = \"paper.icc\"\n")
	kind := pick(r, "flat", "noise", "stripes", "ramp")
	coding := pick(r, "png", "srgb", "srgb", "jpeg")
	return odd{
		name: fmt.Sprintf("%d x %d px %s %s for %s, %s", w, h, kind, coding, folder, strings.ReplaceAll(b.String()[:strings.Index(b.String(), "[media")], "\n", "; ")),
		file: "odd." + map[string]string{"jpeg": "jpg", "png": "png", "srgb": "png"}[coding], folder: folder, toml: b.String(), picture: oddPicture(r, w, h, kind, coding),
	}
}

func oddPicture(r *rand.Rand, w, h int, kind, coding string) []byte {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.NRGBA{90, 120, 140, 255}
			switch kind {
			case "noise":
				c.R, c.G, c.B = uint8(r.Uint32()), uint8(r.Uint32()), uint8(r.Uint32())
			case "stripes":
				c.R, c.G, c.B = uint8(255*(x/2%2)), uint8(255*(x/3%2)), uint8(255*(y/2%2))
			case "ramp":
				c.R, c.G, c.B = uint8(255*x/w), uint8(255*y/h), uint8(255*(x+y)/(w+h))
			}
			img.SetNRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if coding == "jpeg" {
		must(0, jpeg.Encode(&b, img, &jpeg.Options{Quality: 90}))
	} else {
		must(0, png.Encode(&b, img))
	}
	if coding == "srgb" { // 8 bytes of signature and 25 of IHDR come first
		return slices.Insert(b.Bytes(), 33, srgbChunk...)
	}
	return b.Bytes()
}

// srgbChunk is the PNG chunk that says sRGB, perceptual (PNG, third edition, 11.3.2.5).
var srgbChunk = func() []byte {
	body := []byte("sRGB\x00")
	return binary.BigEndian.AppendUint32(append([]byte{0, 0, 0, 1}, body...), crc32.ChecksumIEEE(body))
}()

// record takes the order to the end that the daemon would take it to, but for the
// print's own pixels.
func (o odd) record(t *testing.T, dir string) *record.Record {
	t.Helper()
	c := must(config.Parse("sizewright.toml", []byte(o.toml)))
	path := filepath.Join(dir, o.file)
	must(0, os.WriteFile(path, o.picture, 0o644))
	now := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	here := func(_ context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
		return photo.Open(path, lim)
	}
	desk := order.NewDesk(c, dir, 0, here, func() time.Time { return now })
	d := must(desk.Foresee(order.Request{Path: path, Name: "odd", Order: must(order.NewOrder(o.folder, c))}))
	j := &job{decision: d, rec: &record.Record{
		Schema: record.SchemaID, Order: record.Order{Folder: o.folder, Size: d.Order.Size.Name, Stock: d.Order.Stock},
		Source:   record.Source{Name: "odd", Original: "originals/" + o.folder + "/odd", SHA256: strings.Repeat("0", 64), Bytes: int64(len(o.picture))},
		Cautions: []photo.Caution{}, Times: record.Times{Claimed: now, Finished: now},
	}}
	if src := must(desk.Finish(t.Context(), d, nil)); src != nil {
		src.Close()
	}
	var no *hold.Hold
	if errors.As(j.decided(), &no) {
		j.rec.Hold(no)
		return j.rec
	}
	j.rec.Print = record.PrintOf(j.rec.Plan)
	j.rec.Print.File, j.rec.Print.Preview, j.rec.Print.Bytes = "odd.tif", "odd.preview.jpg", 1
	if d.Gamut != nil {
		j.rec.Print.OnPaper, j.rec.Print.GamutMap = "odd.paper.jpg", "odd.gamut.png"
	}
	j.rec.Status = record.StatusOf(j.rec.Verdict, j.rec.Cautions)
	return j.rec
}
