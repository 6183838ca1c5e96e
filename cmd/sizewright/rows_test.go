package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/record"
	"sizewright/internal/studio"
	"sizewright/internal/vision"
)

// tradeRows are pictures of 3:2, by their width in px, for folders: the large prints of the
// trade's table and those at the borders between two verdicts (common practice, no source;
// order/verdict_test.go has it whole), and one picture at size after size. The names give
// about as many ppi as the verdict asks for, so that they are quickly made.
var tradeRows = []struct {
	folder string
	width  int
	want   vision.Verdict
}{
	{"12x18in@140", 2600, vision.Carries},
	{"24x36in@140", 1200, vision.TooSmall},
	{"40x60in", 1200, vision.TooSmall},
	{"4x6in@200", 1800, vision.Carries},
	{"A4@200", 2339, vision.Carries},
	{"A4@200", 1754, vision.LookCloser},
	{"A4@200", 1052, vision.TooSmall},
	{"A6@200", 583, vision.TooSmall},
	{"A6@200", 1500, vision.Carries},
	{"A5@200", 1500, vision.LookCloser},
	{"A2@200", 1500, vision.TooSmall},
}

// What the trade's table asks, once does; its records and its report say the same.
func TestOnceJudgesAsTheTradeDoes(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "studio")
	must(t, studio.Init(dir, []byte("[intake]\nsettle = \"1ms\"\n[print]\nbits = 8\ncompression = \"none\"\nkernel = \"catmull-rom\"\npre_sharpening = 0\noutput_sharpening = 0\n"), nil))
	leaf := textured(512, 512)
	files, want := map[int][]byte{}, map[string]vision.Verdict{}
	for _, r := range tradeRows {
		if files[r.width] == nil {
			files[r.width] = tiled(t, leaf, r.width)
		}
		name := fmt.Sprintf("%d px.jpg", r.width)
		must(t, os.MkdirAll(filepath.Join(dir, "drop", r.folder), 0o755))
		must(t, os.WriteFile(filepath.Join(dir, "drop", r.folder, name), files[r.width], 0o644))
		want[r.folder+"/"+name] = r.want
	}
	once1(t, dir, nil)
	read := func(path string) []byte {
		data, err := os.ReadFile(path)
		must(t, err)
		return data
	}
	pages, err := filepath.Glob(filepath.Join(dir, "outbox/morning/2*.json"))
	must(t, err)
	if len(pages) != 1 {
		t.Fatalf("reports: %q", pages)
	}
	var report struct {
		Orders []struct {
			Order   struct{ Folder string }
			Source  struct{ Name string }
			Verdict vision.Verdict
			Status  record.Status
			Caution []struct{ Code string } `json:"cautions"`
		}
	}
	must(t, json.Unmarshal(read(pages[0]), &report))
	told := map[string]vision.Verdict{}
	for _, o := range report.Orders {
		told[o.Order.Folder+"/"+o.Source.Name] = o.Verdict
		quiet := len(o.Caution) == 1 && o.Caution[0].Code == "no-profile" // the picture has no profile
		if quiet != (o.Verdict != vision.LookCloser) || (o.Status == record.Held) != (o.Verdict == vision.TooSmall) {
			t.Errorf("%s at %s: %s, and it is %s with %v", o.Source.Name, o.Order.Folder, o.Verdict, o.Status, o.Caution)
		}
	}
	for order, verdict := range want {
		if told[order] != verdict {
			t.Errorf("%s: the report says %q, want %q", order, told[order], verdict)
		}
		place := filepath.Join(dir, "outbox", order[:len(order)-len(".jpg")]+".json")
		if verdict == vision.TooSmall {
			place = filepath.Join(dir, "held", order+".json")
		}
		r, err := record.Decode(read(place))
		must(t, err)
		if r.Verdict != verdict {
			t.Errorf("%s: the record says %q, want %q", order, r.Verdict, verdict)
		}
	}
}

// tiled is a JPEG of 3:2 that repeats a picture.
func tiled(t *testing.T, tile image.Image, width int) []byte {
	img, step := image.NewGray(image.Rect(0, 0, width, width*2/3)), tile.Bounds().Dx()
	for y := 0; y < width*2/3; y += step {
		for x := 0; x < width; x += step {
			draw.Draw(img, image.Rect(x, y, x+step, y+step), tile, image.Point{}, draw.Src)
		}
	}
	var b bytes.Buffer
	must(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 92}))
	return b.Bytes()
}
