package morning

import (
	"bytes"
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

// The night of these tests is the 14th of March, in a zone an hour east.
var (
	zone    = time.FixedZone("", 3600)
	evening = time.Date(2026, 3, 13, 23, 10, 0, 0, zone)
	morning = time.Date(2026, 3, 14, 4, 32, 0, 0, zone)
)

// studioDir is a studio under a temporary directory, for tests to fill.
type studioDir struct {
	testing.TB
	root string
	tick time.Time // when the last order was finished
}

func newStudio(t testing.TB) *studioDir {
	s := &studioDir{TB: t, root: t.TempDir(), tick: evening}
	for _, dir := range []string{"drop", "outbox/morning", "held", "originals"} {
		s.must(os.MkdirAll(filepath.Join(s.root, dir), 0o777))
	}
	return s
}

func (s *studioDir) must(err error) {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
}

// put writes a file at a path in the studio.
func (s *studioDir) put(name string, data []byte) {
	s.Helper()
	file := filepath.Join(s.root, filepath.FromSlash(name))
	s.must(os.MkdirAll(filepath.Dir(file), 0o777))
	s.must(os.WriteFile(file, data, 0o666))
}

// preview writes a JPEG at a path in the studio: a soft gradient, or noise,
// which no encoder can make small.
func (s *studioDir) preview(name string, w, h int, noise bool) {
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
	file := filepath.Join(s.root, filepath.FromSlash(name))
	s.must(os.MkdirAll(filepath.Dir(file), 0o777))
	f, err := os.Create(file)
	s.must(err)
	s.must(jpeg.Encode(f, img, &jpeg.Options{Quality: 90}))
	s.must(f.Close())
}

// order is an order in hand: its plan made, its end open.
func (s *studioDir) order(folder, name string, info photo.Info) *record.Record {
	s.Helper()
	size, stock, err := printsize.Parse(folder)
	s.must(err)
	asked := render.Order{Size: size, Stock: stock, Settings: config.Default().Print}
	plan := render.NewPlan(&info, asked).WithMeasurement(render.Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.005, Blur: 0.7, Edges: 300}}, asked)
	s.tick = s.tick.Add(time.Minute)
	r := &record.Record{
		Schema: record.SchemaID,
		Order:  record.Order{Folder: folder, Size: size.Name, Stock: stock},
		Source: record.Source{
			Name: name, Original: "originals/" + folder + "/" + name,
			SHA256: fmt.Sprintf("%x", sha256.Sum256([]byte(name))), Bytes: 9_000_000,
		},
		Plan: plan, Cautions: plan.Cautions,
		Times: record.Times{Claimed: s.tick.Add(-40 * time.Second), Finished: s.tick},
	}
	r.Source = record.SourceOf(r.Source, &info, plan)
	r.Identity, r.Recipe = (&order.Decision{Order: asked}).Identity(r.Source.SHA256), order.RecipeVersion
	return r
}

// publish ends an order as it stands: the record and, of a print, the TIFF and
// the preview are written where the daemon writes them.
func (s *studioDir) publish(r *record.Record) Entry {
	s.Helper()
	stem := strings.TrimSuffix(r.Source.Name, path.Ext(r.Source.Name))
	dir := "outbox/" + r.Order.Folder + "/"
	if r.Status == record.Held {
		dir, stem = "held/"+r.Order.Folder+"/", r.Source.Name
		s.put(dir+stem+".txt", []byte(r.Reason+"\n"))
	}
	if r.Print != nil && r.RepeatOf == "" {
		r.Print.Bytes = s.blankTIFF(dir+r.Print.File, r.Plan)
	}
	data, err := r.Encode()
	s.must(err)
	s.put(dir+stem+".json", data)
	s.put(r.Source.Original, []byte("as it was dropped"))
	if r.Print != nil && r.RepeatOf == "" {
		w, h := r.Print.WidthPX, r.Print.HeightPX
		k := 96 / float64(max(w, h))
		s.preview(dir+r.Print.Preview, int(math.Ceil(float64(w)*k)), int(math.Ceil(float64(h)*k)), false)
	}
	return Entry{Path: dir + stem + ".json", Record: *r}
}

// blankTIFF writes a file with the form of a plan's print and no pixels in its strips,
// and returns its length.
func (s *studioDir) blankTIFF(name string, p *render.Plan) int64 {
	s.Helper()
	s.put(name, nil)
	f, err := os.OpenFile(filepath.Join(s.root, filepath.FromSlash(name)), os.O_RDWR, 0)
	s.must(err)
	defer f.Close()
	width, height := p.Extent()
	h := tiff.Header{Width: width, Height: height, Bits: 16, Photometric: tiff.RGB, RowsPerStrip: p.File.BandRows, Compression: tiff.Deflate, PPI: tiff.Rational{Num: 360, Den: 1}}
	w, err := tiff.NewWriter(f, h)
	s.must(err)
	for range h.Strips() {
		s.must(w.WriteStrip([]byte{0x78, 0x9c}))
	}
	s.must(w.Close())
	return w.Size()
}

// made is a print of a 26 megapixel photograph, with its cautions.
func (s *studioDir) made(folder, name string, cautions ...photo.Caution) Entry {
	s.Helper()
	return s.publish(s.printed(folder, name, cautions...))
}

func (s *studioDir) printed(folder, name string, cautions ...photo.Caution) *record.Record {
	s.Helper()
	r := s.order(folder, name, photo.Info{
		Format: "JPEG", Width: 6240, Height: 4160, Orientation: 1, Bits: 8, Model: photo.RGB,
		EXIF: photo.EXIF{Make: "Heron", Camera: "Heron Mark 2", Lens: "35 mm f/2", ISO: 200, DateTimeOriginal: "2026:03:10 06:12:00"},
	})
	r.Cautions = append([]photo.Caution{}, cautions...)
	r.Plan.Cautions = r.Cautions
	r.Status = record.Made(r.Cautions)
	r.Print = record.PrintOf(r.Plan)
	stem := strings.TrimSuffix(name, path.Ext(name))
	r.Print.File, r.Print.Preview, r.Print.Bytes = stem+".tif", stem+".preview.jpg", 4
	return r
}

// proofed is a print on a stock with a profile that misses a part of the
// picture: with its proof on the paper's white and its map, both invented.
func (s *studioDir) proofed(folder, name string, cautions ...photo.Caution) Entry {
	s.Helper()
	r := s.printed(folder, name, cautions...)
	stem := strings.TrimSuffix(name, path.Ext(name))
	r.Print.OnPaper, r.Print.GamutMap = stem+".paper.jpg", stem+".gamut.png"
	r.Print.Profile = "Marsh Matt, 7 inks"
	c := &r.Plan.Colour
	c.Conversion, c.Output, c.Intent, c.BlackPoint = render.ToStock, r.Print.Profile, string(colour.Relative), true
	r.Gamut = &colour.Gamut{
		Profile: r.Print.Profile, Measured: 1_000_188,
		Beyond1: 0.083, Beyond3: 0.042, Beyond6: 0.011, Median: 3.04, Compensated: true,
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
			{Space: colour.SRGB.Name, Beyond1: 0.09, Beyond3: 0.051, Beyond6: 0.02, Max: 12.04},
			{Space: colour.A98.Name}, {Space: colour.ROMM.Name},
		},
	}
	e := s.publish(r)
	s.preview(Beside(e, r.Print.OnPaper), 96, 64, false)
	s.gamutMap(Beside(e, r.Print.GamutMap), 96, 98)
	return e
}

// gamutMap writes a PNG at a path in the studio.
func (s *studioDir) gamutMap(name string, w, h int) {
	s.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * x / w), uint8(200 * y / h), 60, 255})
		}
	}
	var b bytes.Buffer
	s.must(png.Encode(&b, img))
	s.put(name, b.Bytes())
}

// repeat is an order recognised as one made before.
func (s *studioDir) repeat(of Entry, name string) Entry {
	s.Helper()
	r := s.printed(of.Record.Order.Folder, name)
	r.Status, r.Cautions, r.RepeatOf, r.Print = of.Record.Status, of.Record.Cautions, of.Path, of.Record.Print
	r.Source.SHA256 = of.Record.Source.SHA256
	return s.publish(r)
}

// tooSmall is a picture held for having too few pixels.
func (s *studioDir) tooSmall(folder, name string) Entry {
	s.Helper()
	r := s.order(folder, name, photo.Info{Format: "JPEG", Width: 1600, Height: 1067, Orientation: 1, Bits: 8, Model: photo.RGB})
	if r.Plan.Refusal == nil {
		s.Fatalf("1600 x 1067 px is meant to be too little for %s", folder)
	}
	r.Status, r.Code, r.Reason = record.Held, r.Plan.Refusal.Code, r.Plan.Refusal.Text
	r.Source.Original = "held/" + folder + "/" + name
	return s.publish(r)
}

// unreadable is a file held for being damaged: nothing is known of it.
func (s *studioDir) unreadable(folder, name string) Entry {
	s.Helper()
	r := s.order(folder, name, photo.Info{Format: "JPEG", Width: 1, Height: 1, Orientation: 1, Bits: 8, Model: photo.RGB})
	r.Plan, r.Cautions = nil, []photo.Caution{}
	r.Source = record.Source{Name: name, Original: "held/" + folder + "/" + name, SHA256: r.Source.SHA256, Bytes: 4096}
	r.Status, r.Code = record.Held, string(photo.Damaged)
	r.Reason = name + " is cut short: the JPEG ends before its last line; copy it again from the card"
	return s.publish(r)
}

// night is one with something of everything.
func (s *studioDir) night() *Night {
	s.Helper()
	dawn, proof := s.made("24x36in", "dawn.jpg"), s.proofed("A3 matt", "samphire.jpg")
	proof.Record.Print.Crops = s.crops("A3 matt", "samphire", false)
	proof.Record.Ladder = s.climbed("samphire.jpg", "A4")
	return &Night{
		Date: "2026-03-14", Started: evening, Finished: morning,
		Records: []Entry{
			dawn,
			s.made("A4 lustre", "reeds.jpg"),
			s.made("A4 lustre", "creek.jpg", photo.Caution{Code: "no-profile", Text: "no profile is embedded: sRGB was assumed"}),
			s.repeat(dawn, "dawn (copy).jpg"),
			s.tooSmall("40x60in", "heron.jpg"),
			s.unreadable("A4 lustre", "gull.jpg"),
			proof,
		},
		Left:   []Left{{Folder: "24x36", Text: "24x36 has no unit; name it 24x36in or 24x36cm"}, {Folder: "A2", Name: "notes.txt", Text: "no picture format known here"}},
		Faults: []Fault{{Folder: "A2", Name: "tide.tif", Text: "no room on the disk; make room and it will be made"}},
	}
}

func TestEveryOrderIsCountedOnce(t *testing.T) {
	got := newStudio(t).night().Counts()
	want := Counts{Ready: 3, WithCautions: 1, AlreadyMade: 1, Held: 2, Faults: 1}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestANightLastsFromItsFirstOrderToItsLast(t *testing.T) {
	early, late := evening.Add(-3*time.Hour), morning.Add(time.Hour)
	n := Night{Started: evening, Finished: morning, Records: []Entry{
		{Record: record.Record{Times: record.Times{Claimed: early.UTC(), Finished: early.UTC().Add(time.Minute)}}},
		{Record: record.Record{Times: record.Times{Claimed: morning, Finished: late}}},
	}}
	from, to := n.span()
	if !from.Equal(early) || !to.Equal(late) {
		t.Errorf("from %v to %v, want %v to %v", from, to, early, late)
	}
	if from.Location() != to.Location() {
		t.Errorf("told in two zones, %v and %v", from.Location(), to.Location())
	}
}
