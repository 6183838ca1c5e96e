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
	"time"

	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// mixed is a night of n pictures, a third of them held, at sizes from a card to 40x60 in,
// of all shapes, for two rolls, for sheets and for no paper, some in a job.
func (s *studioDir) mixed(n int) *Night {
	s.Helper()
	night := nightOf()
	folders := []string{"A3 lustre", "A4 lustre", "", "A2 matt", "", "A5 lustre", "24x36in baryta", "30x90cm", "", "50x70cm", "Marsh exhibition/A3 lustre", "A6"}
	shapes := []image.Point{{6240, 4160}, {4160, 6240}, {5000, 5000}, {9000, 3000}, {5200, 4000}}
	for i := range n {
		name, folder := fmt.Sprintf("marsh-%03d.jpg", i+1), folders[i%len(folders)]
		s.Pixels = shapes[(i+i/len(folders))%len(shapes)]
		if folder == "30x90cm" {
			s.Pixels = shapes[3]
		}
		var e record.Entry
		switch {
		case folder == "":
			e = s.TooSmall([]string{"40x60in", "A2 matt", "Marsh exhibition/A2 lustre", "40x60in"}[i%12/3], name)
		case i%9 == 5:
			e = s.Made(folder, name, photo.Caution{Code: "no-profile", Text: "no profile is embedded: sRGB was assumed"})
		case folder == "A2 matt":
			e = s.Proofed(folder, name)
			e.Record.Ladder = s.climbed(name, "A2")
		default:
			e = s.Made(folder, name)
		}
		s.lay(&e.Record)
		night.Records = append(night.Records, s.shown(e, i))
	}
	s.Pixels = image.Point{}
	night.Paper = packing.Of(night.Records)
	return night
}

// lay puts a print on its paper: lustre and baryta are rolls and packed, matt is sheets.
func (s *studioDir) lay(r *record.Record) {
	if r.Print == nil {
		return
	}
	w, h := r.Print.WidthMM, r.Print.HeightMM
	roll610 := roll.Roll{WidthMM: 610, Left: 3, Right: 3, Leading: 3, Trailing: 3, GapMM: 5}
	p := &order.Paper{Rates: sheet.Rates{PerM2: 11, Currency: "EUR", M2PerHour: 6}}
	switch r.Order.Stock {
	case "matt":
		p.Layout = sheet.New(w, h, sheet.Media{Name: "Matt 18 x 25 in", Kind: sheet.CutSheet, WidthMM: 457.2, LengthMM: 635, Margins: sheet.UsualMargins(sheet.CutSheet)}, sheet.Options{})
		p.Estimate = p.Rates.Of(p.Layout.Use())
	case "lustre", "baryta":
		p.Layout = sheet.Layout{Media: "Roll 24 in, " + r.Order.Stock, Kind: sheet.Roll, Fits: true, LeadingEdge: sheet.Loose, Picture: sheet.Rect{Width: w, Height: h}, Ink: sheet.Rect{Width: w, Height: h}, Sheet: sheet.Rect{Width: w, Height: h}}
		p.Pack = &order.Pack{Roll: roll610, WidthMM: w, HeightMM: h, MayTurn: true}
	default:
		return
	}
	r.Plan.Paper = p
}

// shown gives a print or a held picture a scene of its own to be seen by.
func (s *studioDir) shown(e record.Entry, i int) record.Entry {
	s.Helper()
	w, h := 480, 320
	if p := e.Record.Print; p != nil {
		k := 480 / max(p.WidthMM, p.HeightMM)
		w, h = int(p.WidthMM*k), int(p.HeightMM*k)
	}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	sky, land := scenes[i%len(scenes)], scenes[(3*i+1)%len(scenes)]
	horizon := h * (40 + 7*i%25) / 100
	for y := range h {
		for x := range w {
			c, near := sky, 256*y/horizon
			if y > horizon+int(6*math.Sin(float64(x+40*i)/50)) {
				c, near = land, 256-160*(y-horizon)/(h-horizon)
			}
			if dx, dy := x-w*4/5, y-h/5; dx*dx+dy*dy < 900 { // the sun: which way is up, and right
				c, near = color.RGBA{250, 240, 210, 255}, 255
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
	b.call("Performance.enable", map[string]any{"timeDomain": "threadTicks"}, nil)
	for _, n := range []int{1, 9, 36, 200} {
		if only := os.Getenv("MORNING_NIGHT"); only != "" && only != fmt.Sprint(n) {
			continue
		}
		s := newStudio(t)
		file := filepath.Join(s.Root, "outbox/morning/look.html")
		page := s.page(s.mixed(n))
		s.Put("outbox/morning/look.html", []byte(page))
		for _, look := range []struct {
			name, scheme, media string
			width, height       int
		}{{"light", "light", "screen", 1400, 900}, {"dark", "dark", "screen", 1400, 900}, {"phone", "light", "screen", 390, 844}, {"print", "light", "print", 794, 1123}} {
			b.screen(look.width, look.height, look.scheme, look.media)
			begin := time.Now()
			b.visit(file)
			b.eval(`new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r))).then(() => true)`, nil)
			opened := time.Since(begin)
			if look.media == "screen" {
				var wall, first float64
				b.eval(`document.querySelector(".wall").getBoundingClientRect().bottom`, &wall)
				b.eval(`document.querySelector(".piece:not(.held) img").getBoundingClientRect().top`, &first)
				t.Logf("%3d pictures, %s, %d x %d px: opened in %.2f s, of which the page worked for %.2f s; the wall ends at %.0f px, the first ready picture begins at %.0f px; %.1f MiB",
					n, look.name, look.width, look.height, opened.Seconds(), b.threadTime(), wall, first, float64(len(page))/(1<<20))
			}
			b.eval(eager, nil)
			if look.media == "screen" && look.width < 600 == (n%2 == 0) { // each night once in each scheme
				b.axe(t, fmt.Sprintf("%d prints, %s", n, look.name))
			}
			if look.media == "print" {
				var pdf struct{ Data string }
				b.call("Page.printToPDF", map[string]any{"preferCSSPageSize": true}, &pdf)
				b.keep(filepath.Join(os.Getenv("MORNING_SHOTS"), fmt.Sprintf("night-%d.pdf", n)), pdf.Data)
				continue
			}
			b.first(fmt.Sprintf("night-%d-%s-first", n, look.name))
			if n < 200 {
				b.shot(fmt.Sprintf("night-%d-%s", n, look.name))
			}
		}
	}
}

// threadTime is the processor time that the page's own thread has taken since it was opened,
// s: about what opening takes where nothing else keeps the machine busy.
func (b *browser) threadTime() float64 {
	var m struct {
		Metrics []struct {
			Name  string
			Value float64
		}
	}
	b.call("Performance.getMetrics", nil, &m)
	for _, x := range m.Metrics {
		if x.Name == "ThreadTime" {
			return x.Value
		}
	}
	return 0
}
