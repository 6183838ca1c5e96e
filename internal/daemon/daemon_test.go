package daemon

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"sizewright/configs"
	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/record"
	"sizewright/internal/studio"
	"sizewright/internal/testkit/reference"
)

// newStudio lays out a studio with one drop folder and a configuration.
func newStudio(t *testing.T, folder, toml string) (*studio.Studio, Options) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "studio")
	if err := studio.Init(dir, []byte(toml), []string{folder}); err != nil {
		t.Fatal(err)
	}
	s, err := studio.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	cfg, err := config.Load(s.ConfigPath())
	if err != nil {
		t.Fatal(err)
	}
	return s, Options{Studio: s, Config: cfg}
}

// quick is a configuration for small files and small prints.
const quick = "[intake]\nsettle = \"20ms\"\n[print]\nppi = 100\n"

func drop(t *testing.T, s *studio.Studio, folder, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(s.Drop(), folder, name), data, 0o644); err != nil {
		t.Fatal(err)
	}
}

func readRecord(t *testing.T, s *studio.Studio, path string) *record.Record {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(s.Root(), path))
	if err != nil {
		t.Fatal(err)
	}
	validate(t, data)
	r, err := record.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func validate(t *testing.T, data []byte) {
	t.Helper()
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if err := reference.Schema(t, configs.PrintRecordSchema).Validate(value); err != nil {
		t.Errorf("the record does not follow its schema: %v", err)
	}
}

// jpegOf is a picture with hardly any detail, which is judged by its pixels alone.
func jpegOf(t *testing.T, w, h int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, color.RGBA{uint8(200 * x / w), uint8(200 * y / h), uint8(100 * (x + y) / (w + h)), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// exifFacts are what ExifTool says of a file.
type exifFacts struct {
	Make, Model      string
	Orientation      int
	ImageWidth       int
	ImageHeight      int
	XResolution      float64
	ResolutionUnit   int
	DateTimeOriginal string
	Warning          string
}

// exif asks ExifTool about every file with this suffix in a directory, in one
// go, and gives its answers by file name.
func exif(t *testing.T, dir, suffix string) map[string]exifFacts {
	t.Helper()
	out := reference.Output(t, "exiftool", "-q", "-json", "-n", "-a", "-G1", "-ext", suffix, "-FileName", "-Make#", "-Model#", "-Orientation", "-ImageWidth",
		"-ImageHeight", "-XResolution", "-ResolutionUnit", "-DateTimeOriginal", "-Warning", dir)
	var all []map[string]any
	if err := json.Unmarshal([]byte(out), &all); err != nil {
		t.Fatalf("exiftool on %s: %v\n%s", dir, err, out)
	}
	facts := make(map[string]exifFacts, len(all))
	for _, tags := range all {
		facts[tags["System:FileName"].(string)] = factsOf(tags)
	}
	return facts
}

// factsOf reads tags by group. One camera writes its name into the wrong
// directory, so both are asked.
func factsOf(tags map[string]any) exifFacts {
	value := func(tag string) any {
		for _, group := range []string{"IFD0:", "ExifIFD:", "File:", "ExifTool:"} {
			if v := tags[group+tag]; v != nil && v != "" {
				return v
			}
		}
		return nil
	}
	text := func(tag string) string {
		if v := value(tag); v != nil {
			return strings.TrimSpace(fmt.Sprint(v))
		}
		return ""
	}
	number := func(tag string) float64 { v, _ := value(tag).(float64); return v }
	return exifFacts{
		Make: text("Make"), Model: text("Model"), Orientation: int(number("Orientation")),
		ImageWidth: int(number("ImageWidth")), ImageHeight: int(number("ImageHeight")),
		XResolution: number("XResolution"), ResolutionUnit: int(number("ResolutionUnit")),
		DateTimeOriginal: text("DateTimeOriginal"), Warning: text("Warning"),
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// Every sample photograph of the module github.com/rwcarlsen/goexif (real
// cameras' EXIF) goes through a night. ExifTool's word is the measure. Most of
// the samples are cut short after their EXIF: there it stands before a picture
// of ours.
func TestRealCamerasPhotographsBecomePrintsWithTheirFacts(t *testing.T) {
	reference.Tool(t, "exiftool")
	in := t.TempDir()
	s, o := newStudio(t, "12x18mm", quick+"minimum_ppi = 10\ncaution_ppi = 10\n")
	samples := goexifSamples(t)
	for _, f := range samples {
		data := must(os.ReadFile(f))
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
			data = append(append([]byte("\xff\xd8"), segments(data)...), jpegOf(t, 90, 60)[2:]...)
		}
		drop(t, s, "12x18mm", filepath.Base(f), data)
		if err := os.WriteFile(filepath.Join(in, filepath.Base(f)), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range result.Night.Faults {
		t.Errorf("%s: %s", f.Name, f.Text)
	}
	if got := len(result.Night.Records); got != len(samples) {
		t.Errorf("%d records for %d samples", got, len(samples))
	}
	dropped, printed := exif(t, in, "jpg"), exif(t, filepath.Join(s.Outbox(), "12x18mm"), "tif")
	for _, e := range result.Night.Records {
		r := readRecord(t, s, e.Path)
		if r.Status == record.Held {
			t.Errorf("%s was held: %s", r.Source.Name, r.Reason)
			continue
		}
		compareWithExifTool(t, r, dropped[r.Source.Name], printed[r.Print.File])
	}
}

func goexifSamples(t *testing.T) []string {
	t.Helper()
	dir := strings.TrimSpace(reference.Output(t, "go", "list", "-m", "-f", "{{.Dir}}", "github.com/rwcarlsen/goexif"))
	samples, err := filepath.Glob(filepath.Join(dir, "exif", "samples", "*.jpg"))
	if err != nil || len(samples) < 50 {
		t.Fatalf("%d samples found: %v", len(samples), err)
	}
	return append(samples, filepath.Join(dir, "exif", "sample1.jpg"))
}

// segments are the whole application segments at the start of a JPEG.
func segments(data []byte) []byte {
	i := 2
	for i+4 <= len(data) && data[i] == 0xff && data[i+1]&0xf0 == 0xe0 {
		next := i + 2 + int(data[i+2])<<8 + int(data[i+3])
		if next > len(data) {
			break
		}
		i = next
	}
	return data[2:i]
}

func compareWithExifTool(t *testing.T, r *record.Record, in, out exifFacts) {
	t.Helper()
	if r.Source.Camera.Make != in.Make || r.Source.Camera.Model != in.Model {
		t.Errorf("%s: camera %q %q, ExifTool says %q %q", r.Source.Name, r.Source.Camera.Make, r.Source.Camera.Model, in.Make, in.Model)
	}
	turn := in.Orientation
	if turn < 1 || turn > 8 {
		turn = 1
	}
	w, h := in.ImageWidth, in.ImageHeight
	if turn >= 5 {
		w, h = h, w
	}
	if r.Source.Orientation != turn || r.Source.Width != w || r.Source.Height != h {
		t.Errorf("%s: orientation %d, %d x %d px; ExifTool says %d and, upright, %d x %d", r.Source.Name, r.Source.Orientation, r.Source.Width, r.Source.Height, turn, w, h)
	}
	want := exifFacts{Make: in.Make, Model: in.Model, Orientation: 1, ImageWidth: r.Print.WidthPX, ImageHeight: r.Print.HeightPX,
		XResolution: 100, ResolutionUnit: 2, DateTimeOriginal: r.Source.Camera.Taken}
	if out != want {
		t.Errorf("%s: ExifTool reads of the print %+v, want %+v", r.Print.File, out, want)
	}
}

// The whole road, read back by programs that share no code with it.
func TestAPrintIsReadByLibtiffExifToolAndLibvips(t *testing.T) {
	srgb := must(os.ReadFile("/usr/share/color/icc/colord/sRGB.icc"))
	s, o := newStudio(t, "30x45mm", "[intake]\nsettle = \"20ms\"\n")
	picture := filepath.Join(t.TempDir(), "marsh.jpg")
	if err := os.WriteFile(picture, jpegOf(t, 1200, 800), 0o644); err != nil {
		t.Fatal(err)
	}
	reference.Output(t, "exiftool", "-q", "-overwrite_original", "-icc_profile<=/usr/share/color/icc/colord/sRGB.icc", "-Artist=A Printmaker",
		"-Copyright=The print room", "-DateTimeOriginal=2026:03:14 06:12:00", "-XMP-dc:Title=Ebb", "-XMP-tiff:ImageWidth=1200", picture)
	drop(t, s, "30x45mm", "marsh.jpg", must(os.ReadFile(picture)))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	r := readRecord(t, s, "outbox/30x45mm/marsh.json")
	if r.Status != record.Ready || len(r.Cautions) != 0 {
		t.Errorf("status %s, cautions %v", r.Status, r.Cautions)
	}
	tif := filepath.Join(s.Outbox(), "30x45mm", "marsh.tif")

	// 45 mm at 360 ppi is 637.8 px, 30 mm 425.2.
	info := reference.Output(t, "tiffinfo", tif)
	for _, line := range []string{"Image Width: 638 Image Length: 425", "Bits/Sample: 16", "Resolution: 360, 360 pixels/inch",
		"Compression Scheme: AdobeDeflate", "Photometric Interpretation: RGB color", "Predictor: horizontal differencing", "Samples/Pixel: 3"} {
		if !strings.Contains(info, line) {
			t.Errorf("tiffinfo does not say %q:\n%s", line, info)
		}
	}
	if strings.Contains(strings.ToLower(info), "warning") {
		t.Errorf("tiffinfo warns:\n%s", info)
	}
	facts := reference.Output(t, "exiftool", "-s3", "-a", "-Warning", "-Error", "-Artist", "-Copyright", "-DateTimeOriginal", "-IFD0:Orientation#", "-Title", "-XMP-tiff:ImageWidth", tif)
	if facts != "A Printmaker\nThe print room\n2026:03:14 06:12:00\n1\nEbb\n638\n" {
		t.Errorf("exiftool says %q", facts)
	}
	profile, err := exec.Command("exiftool", "-b", "-icc_profile", tif).Output()
	if err != nil || !bytes.Equal(profile, srgb) {
		t.Errorf("the profile in the print is not the picture's byte for byte (%d bytes, %v)", len(profile), err)
	}
	if got := reference.Output(t, "vipsheader", tif); !strings.Contains(got, "638x425 ushort, 3 bands, rgb16") {
		t.Errorf("libvips reads %q", got)
	}
	reference.Output(t, "vips", "avg", tif) // decodes every strip
	if r.Print.Bytes != must(os.Stat(tif)).Size() {
		t.Errorf("the record says %d bytes", r.Print.Bytes)
	}
}

func TestAMistakeInTheProgramHoldsOnePictureAndTheNightGoesOn(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
	drop(t, s, "A6", "b.jpg", jpegOf(t, 602, 422))
	o.Progress = &panics{on: "a.jpg"}
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	if r := readRecord(t, s, "held/A6/a.jpg.json"); r.Code != "internal" || !strings.Contains(r.Reason, "a.jpg") {
		t.Errorf("held with %q: %q", r.Code, r.Reason)
	}
	if c := result.Night.Counts(); c.Held != 1 || c.Ready+c.WithCautions != 1 {
		t.Errorf("%+v", c)
	}
}

// panics stands for a mistake in the program that one picture meets.
type panics struct {
	silent
	on string
}

func (p *panics) Rendering(_, name string, _, _ int) {
	if name == p.on {
		panic("a mistake")
	}
}

func TestAFaultThatIsNotThePicturesSendsItBackAndIsTold(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	data := jpegOf(t, 600, 420)
	drop(t, s, "A6", "a.jpg", data)
	// A file where the outbox folder should be: nothing can be published.
	if err := os.WriteFile(filepath.Join(s.Outbox(), "A6"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Night.Faults) != 1 {
		t.Fatalf("faults %+v", result.Night.Faults)
	}
	if got := must(os.ReadFile(filepath.Join(s.Drop(), "A6", "a.jpg"))); !bytes.Equal(got, data) {
		t.Error("the original did not come back unchanged")
	}
}

func TestOnceStoppedInMidPrintReturnsTheOriginal(t *testing.T) {
	s, o := newStudio(t, "A4", quick)
	data := jpegOf(t, 1200, 800)
	drop(t, s, "A4", "a.jpg", data)
	ctx, cancel := context.WithCancel(t.Context())
	o.Progress = &cancels{cancel: cancel}
	if _, err := Once(ctx, o); err == nil {
		t.Error("a run that was stopped said nothing of it")
	}
	if got := must(os.ReadFile(filepath.Join(s.Drop(), "A4", "a.jpg"))); !bytes.Equal(got, data) {
		t.Error("the original did not come back unchanged")
	}
	nothingIn(t, filepath.Join(s.Outbox(), "A4"))
	nothingIn(t, filepath.Join(s.Root(), ".sizewright", "claims"))
}

type cancels struct {
	silent
	cancel func()
}

func (c *cancels) Rendering(_, _ string, done, _ int) {
	if done == 3 {
		c.cancel()
	}
}

func nothingIn(t *testing.T, dir string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	for _, e := range entries {
		t.Errorf("%s holds %s", dir, e.Name())
	}
}

func TestServeMakesWhatIsDroppedAndStopsCleanly(t *testing.T) {
	s, o := newStudio(t, "A8", "[intake]\nsettle = \"20ms\"\nrescan = \"1s\"\n[print]\nppi = 100\n")
	drop(t, s, "A8", "before.jpg", jpegOf(t, 300, 210))
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- Serve(ctx, o) }()
	appears(t, filepath.Join(s.Outbox(), "A8", "before.json"))
	// A folder made while it runs is noticed.
	if err := os.Mkdir(filepath.Join(s.Drop(), "A9"), 0o755); err != nil {
		t.Fatal(err)
	}
	drop(t, s, "A9", "after.jpg", jpegOf(t, 302, 212))
	appears(t, filepath.Join(s.Outbox(), "A9", "after.json"))
	appears(t, filepath.Join(s.MorningDir(), "latest.html"))
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	nothingIn(t, filepath.Join(s.Root(), ".sizewright", "claims"))
}

// appears waits for a file, and fails the test after a minute.
func appears(t *testing.T, name string) {
	t.Helper()
	for range 1200 {
		if _, err := os.Stat(name); err == nil {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s did not appear", name)
}

func TestASecondRunOnTheSameStudioIsRefused(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	unlock, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	defer unlock()
	if _, err := Once(t.Context(), o); err == nil {
		t.Error("two runs held one studio")
	}
}

// Two names for the same bytes, in hand at the same time, are one order.
func TestTheSamePictureTwiceInOneNightIsMadeOnce(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	data := jpegOf(t, 600, 420)
	for _, name := range []string{"a.jpg", "b.jpg", "c.jpg", "d.jpg"} {
		drop(t, s, "A6", name, data)
	}
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	made := 0
	for _, name := range []string{"a", "b", "c", "d"} {
		if r := readRecord(t, s, "outbox/A6/"+name+".json"); r.RepeatOf == "" {
			made++
		}
	}
	if made != 1 {
		t.Errorf("the same picture was made %d times", made)
	}
}

// While one print is on the press another is read; never two on the press.
func TestOneOrderIsOnThePressAndTheNextIsReadMeanwhile(t *testing.T) {
	s, o := newStudio(t, "A8", quick+"minimum_ppi = 10\n")
	for i := range 4 {
		drop(t, s, "A8", fmt.Sprintf("%d.jpg", i), jpegOf(t, 300+i, 210))
	}
	watch := &presses{}
	o.Progress = watch
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	if watch.crossed {
		t.Error("two orders' bands came mixed")
	}
	if watch.ended != 4 {
		t.Errorf("%d orders ended, want 4", watch.ended)
	}
}

type presses struct {
	silent
	on      string // unfinished
	crossed bool
	ended   int
}

func (p *presses) Rendering(_, name string, done, total int) {
	p.crossed = p.crossed || p.on != "" && p.on != name
	if p.on = name; done == total {
		p.on = ""
	}
}

func (p *presses) Ended(record.Entry) { p.ended++ }

// A misspelt paper is a wasted one.
func TestAStockTheConfigurationDoesNotKnowHolds(t *testing.T) {
	s, o := newStudio(t, "A6 lustr", quick+"[stock.lustre]\nppi = 120\n")
	drop(t, s, "A6 lustr", "a.jpg", jpegOf(t, 600, 420))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	r := readRecord(t, s, "held/A6 lustr/a.jpg.json")
	if r.Code != "unknown-stock" || !strings.Contains(r.Remedy, `did you mean "A6 lustre"?`) {
		t.Errorf("held for %q, to be mended by %q", r.Code, r.Remedy)
	}
}

// Nothing that a folder's name says is dropped without a word.
func TestAWordAfterTheSizeIsALabelWhereThereAreNoStocks(t *testing.T) {
	s, o := newStudio(t, "A6 plus", quick)
	drop(t, s, "A6 plus", "a.jpg", jpegOf(t, 600, 420))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	r := readRecord(t, s, "outbox/A6 plus/a.json")
	for _, c := range r.Cautions {
		if c.Code == "stock-label" && strings.Contains(c.Text, `"plus"`) && caution.Of(c).Grade == caution.ForTheRecord {
			return
		}
	}
	t.Errorf("cautions %+v", r.Cautions)
}

// The folder's own resolution is the print's, and the record's.
func TestAFoldersNameGivesTheResolution(t *testing.T) {
	s, o := newStudio(t, "A6@150", quick)
	drop(t, s, "A6@150", "a.jpg", jpegOf(t, 1200, 800))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	r := readRecord(t, s, "outbox/A6@150/a.json")
	if r.Print.PPI != 150 || r.Plan.Print.PPI != 150 || r.Order.Size != "A6" {
		t.Errorf("made at %v ppi, planned at %v, size %q", r.Print.PPI, r.Plan.Print.PPI, r.Order.Size)
	}
}
