// Package studiotest makes studios with the records and files of orders, as the daemon
// leaves them, without making a print.
package studiotest

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/tiff"
)

// The night of these tests is 14 March, in a zone an hour east of UTC.
var (
	zone    = time.FixedZone("", 3600)
	Evening = time.Date(2026, 3, 13, 23, 10, 0, 0, zone)
	Morning = time.Date(2026, 3, 14, 4, 32, 0, 0, zone)
)

// Studio is a studio under a temporary directory, for tests to fill.
type Studio struct {
	testing.TB
	Root string
	Tick time.Time // when the last order was finished

	Pixels image.Point // of the photographs that are printed; 6240 by 4160 if zero
}

// New returns an empty studio.
func New(t testing.TB) *Studio {
	s := &Studio{TB: t, Root: t.TempDir(), Tick: Evening}
	for _, dir := range []string{"drop", "outbox/morning", "held", "originals"} {
		s.Must(os.MkdirAll(filepath.Join(s.Root, dir), 0o777))
	}
	return s
}

func (s *Studio) Must(err error) {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
}

// Put writes a file at a path in the studio.
func (s *Studio) Put(name string, data []byte) {
	s.Helper()
	file := filepath.Join(s.Root, filepath.FromSlash(name))
	s.Must(os.MkdirAll(filepath.Dir(file), 0o777))
	s.Must(os.WriteFile(file, data, 0o666))
}

// Preview writes a JPEG at a path in the studio: a soft gradient, or noise, which no encoder
// can compress much.
func (s *Studio) Preview(name string, w, h int, noise bool) {
	s.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	rnd := rand.New(rand.NewPCG(1, 2))
	for y := range h {
		for x := range w {
			c := color.RGBA{uint8(200 * y / h), uint8(120 + 60*x/w), uint8(180 - 90*y/h), 255}
			if noise {
				c = color.RGBA{uint8(rnd.Uint32()), uint8(rnd.Uint32()), uint8(rnd.Uint32()), 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	file := filepath.Join(s.Root, filepath.FromSlash(name))
	s.Must(os.MkdirAll(filepath.Dir(file), 0o777))
	f, err := os.Create(file)
	s.Must(err)
	s.Must(jpeg.Encode(f, img, &jpeg.Options{Quality: 90}))
	s.Must(f.Close())
}

// Order returns an order in hand: planned but not finished.
func (s *Studio) Order(folder, name string, info photo.Info) *record.Record {
	s.Helper()
	p, err := printsize.ParsePath(folder)
	s.Must(err)
	asked := order.Order{Folder: folder, Job: p.Job, Size: p.Size, Stock: p.Stock, Settings: config.Default().Print}
	plan := order.NewPlan(&info, asked).WithMeasurement(order.Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.005, Blur: 0.7, Edges: 300}}, asked)
	s.Tick = s.Tick.Add(time.Minute)
	r := &record.Record{
		Schema: record.SchemaID,
		Order:  record.Order{Folder: folder, Job: p.Job, Size: p.Size.Name, Stock: p.Stock},
		Source: record.Source{
			Name: name, Original: "originals/" + folder + "/" + name,
			SHA256: fmt.Sprintf("%x", sha256.Sum256([]byte(name))), Bytes: 9_000_000,
		},
		Plan: plan, Cautions: plan.Cautions, Verdict: plan.Resolution.Verdict,
		Times: record.Times{Claimed: s.Tick.Add(-40 * time.Second), Finished: s.Tick},
	}
	r.Source = record.SourceOf(r.Source, &info, plan)
	r.Identity, r.Recipe = (&order.Decision{Request: order.Request{Order: asked}}).Identity(r.Source.SHA256), render.RecipeVersion
	return r
}

// Publish finishes an order. It writes the record and, for a print, the TIFF and the preview
// where the daemon writes them.
func (s *Studio) Publish(r *record.Record) record.Entry {
	s.Helper()
	stem := strings.TrimSuffix(r.Source.Name, path.Ext(r.Source.Name))
	dir := "outbox/" + r.Order.Folder + "/"
	if r.Status == record.Held {
		dir, stem = "held/"+r.Order.Folder+"/", r.Source.Name
		s.Put(dir+stem+".txt", r.ReasonFile())
	}
	if r.Print != nil && r.RepeatOf == "" {
		r.Print.Bytes = s.BlankTIFF(dir+r.Print.File, r.Plan)
	}
	data, err := r.Encode()
	s.Must(err)
	s.Put(dir+stem+".json", data)
	s.Put(r.Source.Original, []byte("as it was dropped"))
	if r.Print != nil && r.RepeatOf == "" {
		w, h := r.Print.WidthPX, r.Print.HeightPX
		k := 96 / float64(max(w, h))
		s.Preview(dir+r.Print.Preview, int(math.Ceil(float64(w)*k)), int(math.Ceil(float64(h)*k)), false)
	}
	return record.Entry{Path: dir + stem + ".json", Record: *r}
}

// BlankTIFF writes a file with the form of a plan's print but without pixels in its strips,
// and returns its length.
func (s *Studio) BlankTIFF(name string, p *order.Plan) int64 {
	s.Helper()
	s.Put(name, nil)
	f, err := os.OpenFile(filepath.Join(s.Root, filepath.FromSlash(name)), os.O_RDWR, 0)
	s.Must(err)
	defer f.Close()
	width, height := p.Extent()
	h := tiff.Header{Width: width, Height: height, Bits: 16, Photometric: tiff.RGB, RowsPerStrip: p.File.BandRows, Compression: tiff.Deflate, PPI: tiff.Rational{Num: 360, Den: 1}}
	w, err := tiff.NewWriter(f, h)
	s.Must(err)
	for range h.Strips() {
		s.Must(w.WriteStrip([]byte{0x78, 0x9c}))
	}
	s.Must(w.Close())
	return w.Size()
}

// Made adds a print of a photograph, with its cautions.
func (s *Studio) Made(folder, name string, cautions ...photo.Caution) record.Entry {
	s.Helper()
	return s.Publish(s.Printed(folder, name, cautions...))
}

func (s *Studio) Printed(folder, name string, cautions ...photo.Caution) *record.Record {
	s.Helper()
	of := cmp.Or(s.Pixels, image.Pt(6240, 4160))
	r := s.Order(folder, name, photo.Info{
		Format: "JPEG", Width: of.X, Height: of.Y, Orientation: 1, Bits: 8, Model: photo.RGB,
		EXIF: photo.EXIF{Make: "Heron", Camera: "Heron Mark 2", Lens: "35 mm f/2", ISO: 200, DateTimeOriginal: "2026:03:10 06:12:00"},
	})
	r.Cautions = append([]photo.Caution{}, cautions...)
	r.Plan.Cautions = r.Cautions
	r.Status = record.StatusOf(r.Verdict, r.Cautions)
	r.Print = record.PrintOf(r.Plan)
	stem := strings.TrimSuffix(name, path.Ext(name))
	r.Print.File, r.Print.Preview, r.Print.Bytes = stem+".tif", stem+".preview.jpg", 4
	return r
}

// Proofed adds a print on a stock with a profile that misses a part of the picture, with its
// proof on the paper's white and its map, both invented.
func (s *Studio) Proofed(folder, name string, cautions ...photo.Caution) record.Entry {
	s.Helper()
	r := s.Printed(folder, name, cautions...)
	stem := strings.TrimSuffix(name, path.Ext(name))
	r.Print.OnPaper, r.Print.GamutMap = stem+".paper.jpg", stem+".gamut.png"
	r.Print.Profile = "Marsh Matt, 7 inks"
	c := &r.Plan.Colour
	c.Conversion, c.Output, c.Intent, c.BlackPoint = order.ToStock, r.Print.Profile, colour.Relative, true
	r.Gamut = &colour.Gamut{
		Profile: r.Print.Profile, Measured: 1_000_188,
		Shares: colour.Shares{Beyond1: 0.083, Beyond3: 0.042, Beyond6: 0.011}, Median: 3.04, Compensated: true,
		Blacks: colour.Shares{Beyond1: 0.01, Beyond3: 0.006}, Seen: &colour.Shares{Beyond1: 0.05, Beyond3: 0.031, Beyond6: 0.011},
		P95: 7.2, Max: 9.8,
		Regions: []colour.Region{
			{
				X: 1040, Y: 2210, Width: 1690, Height: 780, Share: 0.031, DeltaE: 5.2,
				Asked: colour.Lab{41.2, -38.5, 47.1}, Got: colour.Lab{42.6, -31.9, 36.4}, Hue: "deep yellow-green", Loses: "chroma",
				Text: "deep yellow-green, 3.1 % of the picture, misses by 5.2 on average: it loses chroma (61 to 48)",
			}, {
				X: 4400, Y: 300, Width: 700, Height: 420, Share: 0.011, DeltaE: 3.9,
				Asked: colour.Lab{62, 31, 58}, Got: colour.Lab{59.1, 27, 49}, Hue: "orange", Loses: "lightness",
				Text: "orange, 1.1 % of the picture, misses by 3.9 on average: it comes out darker (lightness 62 to 59)",
			},
		},
		Spaces: []colour.SpaceLoss{
			{Space: colour.SRGB.Name, Shares: colour.Shares{Beyond1: 0.09, Beyond3: 0.051, Beyond6: 0.02}, Max: 12.04},
			{Space: colour.A98.Name}, {Space: colour.ROMM.Name},
		},
	}
	e := s.Publish(r)
	s.Preview(e.Beside(r.Print.OnPaper), 96, 64, false)
	s.GamutMap(e.Beside(r.Print.GamutMap), 96, 98)
	return e
}

// GamutMap writes a PNG at a path in the studio.
func (s *Studio) GamutMap(name string, w, h int) {
	s.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * x / w), uint8(200 * y / h), 60, 255})
		}
	}
	var b bytes.Buffer
	s.Must(png.Encode(&b, img))
	s.Put(name, b.Bytes())
}

// Repeat adds an order recognised as one made before.
func (s *Studio) Repeat(of record.Entry, name string) record.Entry {
	s.Helper()
	r := s.Printed(of.Record.Order.Folder, name)
	r.Status, r.Cautions, r.RepeatOf, r.Print = of.Record.Status, of.Record.Cautions, of.Path, of.Record.Print
	r.Source.SHA256 = of.Record.Source.SHA256
	return s.Publish(r)
}

// TooSmall adds a picture held for having too few pixels.
func (s *Studio) TooSmall(folder, name string) record.Entry {
	s.Helper()
	r := s.Order(folder, name, photo.Info{Format: "JPEG", Width: 1600, Height: 1067, Orientation: 1, Bits: 8, Model: photo.RGB})
	if r.Plan.Refusal == nil {
		s.Fatalf("1600 x 1067 px is meant to be too little for %s", folder)
	}
	r.Hold(&r.Plan.Refusal.Hold)
	r.Source.Original = "held/" + folder + "/" + name
	return s.Publish(r)
}

// Unreadable adds a file held for being damaged, of which nothing is known.
func (s *Studio) Unreadable(folder, name string) record.Entry {
	s.Helper()
	r := s.Order(folder, name, photo.Info{Format: "JPEG", Width: 1, Height: 1, Orientation: 1, Bits: 8, Model: photo.RGB})
	r.Plan, r.Cautions = nil, []photo.Caution{}
	r.Source = record.Source{Name: name, Original: "held/" + folder + "/" + name, SHA256: r.Source.SHA256, Bytes: 4096}
	r.Hold(photo.Damaged.With("copy it again from the card").Say("%s is cut short: the JPEG ends before its last line", name))
	return s.Publish(r)
}

// Remove deletes files of the studio.
func (s *Studio) Remove(names ...string) {
	s.Helper()
	for _, name := range names {
		s.Must(os.RemoveAll(filepath.Join(s.Root, name)))
	}
}

// Hold adds a file that is not a picture. It lies in held/ under its own name, with its
// reason and its record beside it.
func (s *Studio) Hold(folder, name string, data []byte) record.Entry {
	s.Helper()
	e := s.Unreadable(folder, name)
	s.Put(e.Record.Source.Original, data)
	return e
}

// Encoded returns a record in the form of its file.
func Encoded(t testing.TB, r record.Record) []byte {
	t.Helper()
	data, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return data
}
