package report

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/photo"
	"sizewright/internal/record"
)

// mixed is a night of n pictures, a third of them held, at sizes from a card to 40x60 in.
func (s *studioDir) mixed(n int) *Night {
	s.Helper()
	night := nightOf()
	folders := []string{"A3 lustre", "A4", "40x60in", "A2 lustre", "24x36in", "A5", "A4", "30x90cm", "A3 lustre", "50x70cm", "A6", "A2 lustre"}
	for i := range n {
		name, folder := fmt.Sprintf("marsh-%03d.jpg", i+1), folders[i%len(folders)]
		switch {
		case i%6 == 2:
			night.Records = append(night.Records, s.shown(s.TooSmall("40x60in", name), i))
		case i%6 == 4:
			night.Records = append(night.Records, s.shown(s.TooSmall("A2", name), i))
		case i%9 == 5:
			night.Records = append(night.Records, s.shown(s.Made(folder, name, photo.Caution{Code: "no-profile", Text: "no profile is embedded: sRGB was assumed"}), i))
		default:
			night.Records = append(night.Records, s.shown(s.Made(folder, name), i))
		}
	}
	return night
}

// shown gives a print or a held picture a scene of its own to be seen by.
func (s *studioDir) shown(e record.Entry, i int) record.Entry {
	s.Helper()
	const w, h = 480, 320
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	sky, land := scenes[i%len(scenes)], scenes[(3*i+1)%len(scenes)]
	horizon := h * (40 + 7*i%25) / 100
	for y := range h {
		for x := range w {
			c, near := sky, 256*y/horizon
			if y > horizon+int(6*math.Sin(float64(x+40*i)/50)) {
				c, near = land, 256-160*(y-horizon)/(h-horizon)
			}
			img.SetRGBA(x, y, color.RGBA{uint8(int(c.R) * (128 + near/2) / 256), uint8(int(c.G) * (128 + near/2) / 256), uint8(int(c.B) * (128 + near/2) / 256), 255})
		}
	}
	var b bytes.Buffer
	s.Must(jpeg.Encode(&b, img, nil))
	s.Put(pictured(e), b.Bytes())
	return e
}

var scenes = []color.RGBA{{150, 180, 205, 255}, {205, 160, 130, 255}, {110, 130, 90, 255}, {120, 95, 70, 255}, {185, 175, 190, 255}, {70, 90, 105, 255}, {220, 200, 140, 255}}

// TestLookAtNights keeps pictures of nights of several sizes in the folder that
// MORNING_SHOTS names, for somebody to look at.
func TestLookAtNights(t *testing.T) {
	if os.Getenv("MORNING_SHOTS") == "" {
		t.Skip("MORNING_SHOTS names no folder")
	}
	b := newBrowser(t)
	for _, n := range []int{1, 9, 36, 200} {
		s := newStudio(t)
		file := filepath.Join(s.Root, "outbox/morning/look.html")
		s.Put("outbox/morning/look.html", []byte(s.page(s.mixed(n))))
		for _, look := range []struct {
			name, scheme, media string
			width, height       int
		}{{"light", "light", "screen", 1400, 900}, {"dark", "dark", "screen", 1400, 900}, {"phone", "light", "screen", 390, 844}, {"print", "light", "print", 794, 1123}} {
			b.screen(look.width, look.height, look.scheme, look.media)
			b.visit(file)
			b.eval(eager, nil)
			if look.media == "screen" && look.width < 600 == (n%2 == 0) { // each night once in each scheme
				b.axe(t, fmt.Sprintf("%d prints, %s", n, look.name))
			}
			b.first(fmt.Sprintf("night-%d-%s-first", n, look.name))
			if n < 200 {
				b.shot(fmt.Sprintf("night-%d-%s", n, look.name))
			}
		}
	}
}
