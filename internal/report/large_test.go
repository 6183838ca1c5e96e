package report

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sizewright/internal/ladder"
	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

// textBytes bounds the text of one print in the page, its drawings included;
// printBytes bounds its pictures.
const textBytes = 24 << 10

// large is a night of n prints that have everything. They share their pictures'
// files, which changes nothing for the page.
func (s *studioDir) large(n int) *Night {
	s.Helper()
	one := s.Proofed("A2", "marsh.jpg")
	p := one.Record.Print
	p.Crops = s.crops("A2", "marsh", false)
	one.Record.Ladder = s.climbed("marsh.jpg", "A2")
	night := &Night{Night: record.Night{Date: "2026-03-14", Started: studiotest.Evening, Finished: studiotest.Morning}}
	for i := range n {
		e := one
		e.Record.Source.Name = fmt.Sprintf("marsh-%03d.jpg", i)
		e.Record.Ladder = new(ladder.Ladder)
		*e.Record.Ladder = *one.Record.Ladder
		night.Records = append(night.Records, e)
	}
	return night
}

func TestTwoHundredPrintsStayWithinTheirBytes(t *testing.T) {
	s := newStudio(t)
	const prints = 200
	n := s.large(prints)
	for _, c := range n.Records[0].Record.Print.Crops { // small, which is quicker
		s.Preview("outbox/A2/"+c.File, 24, 24, false)
		s.Preview("outbox/A2/"+c.Before, 24, 24, false)
	}
	page := s.page(n)
	pictures := 0
	for _, part := range strings.Split(page, `src="data:image/jpeg;base64,`)[1:] {
		pictures += strings.IndexByte(part, '"')
	}
	if text := len(page) - pictures; text > prints*textBytes+len(pageStyle)+len(pageLayout)+len(pageScript) {
		t.Errorf("%d bytes of text and drawings, %d a print, want at most %d", text, text/prints, textBytes)
	}
	if got := strings.Count(page, `loading="lazy" decoding="async"`); got != 11*prints || strings.Count(page, "<img") != 12*prints {
		t.Errorf("%d of %d pictures are lazy, want all of %d but those of the wall", got, strings.Count(page, "<img"), 12*prints)
	}
	// The most that 200 prints can come to; a page of this size is what
	// BenchmarkTwoHundredPrintsOpen opens.
	if most := prints * (printBytes + textBytes); most > 40<<20 || printBytes > 180<<10 {
		t.Errorf("200 prints may come to %d MiB, one print's pictures to %d kB", most>>20, printBytes>>10)
	}
}

// photograph is a JPEG with detail at every scale, about as large as a
// photograph's of its size.
func (s *studioDir) photograph(name string, side int) {
	s.Helper()
	rnd := rand.New(rand.NewPCG(3, 4))
	img := image.NewRGBA(image.Rect(0, 0, side, side*2/3))
	for y := range side * 2 / 3 {
		for x := range side {
			v := 128 + 60*math.Sin(float64(x*x+y*y)/float64(40*side)) + 12*rnd.NormFloat64()
			c := uint8(min(max(v, 0), 255))
			img.SetRGBA(x, y, color.RGBA{c, c / 2, 255 - c, 255})
		}
	}
	var b bytes.Buffer
	s.Must(jpeg.Encode(&b, img, &jpeg.Options{Quality: 88}))
	s.Put(name, b.Bytes())
}

// photographed is a large night whose pictures have a photograph's detail.
func (s *studioDir) photographed(n int) *Night {
	s.Helper()
	night := s.large(n)
	p := night.Records[0].Record.Print
	for _, f := range []string{p.Preview, p.OnPaper, p.GamutMap} {
		s.photograph("outbox/A2/"+f, 1200)
	}
	for _, c := range p.Crops {
		s.photograph("outbox/A2/"+c.File, 320)
		s.photograph("outbox/A2/"+c.Before, 320)
	}
	return night
}

// BenchmarkTwoHundredPrintsAreTold makes the page of a large night whose small pictures are
// there, as a daemon makes it after every run of work.
func BenchmarkTwoHundredPrintsAreTold(b *testing.B) {
	s := newStudio(b)
	n := s.photographed(200)
	n.Album = &Album{}
	make := func() []byte {
		page, err := n.Page(s.Context(), Making{Root: s.Root})
		s.Must(err)
		return page
	}
	page := make()
	for b.Loop() {
		make()
	}
	b.ReportMetric(float64(len(page))/(1<<20), "MiB")
}

// BenchmarkTwoHundredPrintsOpen opens the page of a large night from disk in
// chromium, until its load event and the first frame after it.
func BenchmarkTwoHundredPrintsOpen(b *testing.B) {
	s := newStudio(b)
	file := filepath.Join(s.Root, "outbox/morning/large.html")
	n := s.photographed(200)
	page, err := n.Page(s.Context(), Making{Root: s.Root})
	if err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(file, page, 0o666); err != nil {
		b.Fatal(err)
	}
	chromium := newBrowser(b)
	for b.Loop() {
		begin := time.Now()
		chromium.visit(file)
		chromium.eval(`new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r))).then(() => true)`, nil)
		b.ReportMetric(float64(time.Since(begin).Milliseconds()), "ms/last")
	}
	b.ReportMetric(float64(len(page))/(1<<20), "MiB")
}
