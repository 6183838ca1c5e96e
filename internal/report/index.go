package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"os"
	"strings"
	"time"

	"sizewright/internal/plaintext"
	"sizewright/internal/record"
)

//go:embed index.gohtml
var indexLayout string

// MaxNights is how many nights, from the latest back, the index tells of.
const MaxNights = 60

// index is what the layout of the page across nights is given.
type index struct {
	Style    template.CSS
	Nights   []pastNight
	Pictures []pastPicture
}

// pastNight is one night in the index.
type pastNight struct {
	Day, Sentence, Sizes string
	URL                  string // of its page, "" if there is none
	Shown                []shown
	More                 int // prints that are not shown
}

// shown is a print in the index: its preview, which lies beside the print, set small.
type shown struct {
	URL           string
	Width, Height int // px
}

// What a night shows of its prints in the index.
const (
	mostShown   = 12
	shownHeight = 56 // px
)

// show adds the previews that are still there.
func (p *pastNight) show(studio *os.Root, night []record.Entry) {
	for _, e := range inPageOrder(night) {
		r := &e.Record
		if s := keysOf(r).Status; s != isReady && s != isCautioned || r.Print == nil || r.Print.HeightPX <= 0 {
			continue
		}
		url := href(e.Beside(r.Print.Preview))
		if info, err := studio.Lstat(e.Beside(r.Print.Preview)); url == "" || err != nil || !info.Mode().IsRegular() {
			continue
		}
		if len(p.Shown) == mostShown {
			p.More++
			continue
		}
		p.Shown = append(p.Shown, shown{url, min(max(shownHeight*r.Print.WidthPX/r.Print.HeightPX, 1), 3*shownHeight), shownHeight})
	}
}

// IndexHTML is the page across nights, to lie in outbox/morning/ as index.html:
// the last [MaxNights] of nights with links to those of their pages that lie
// there in the studio at root, and which sizes were made of each picture, when.
// nights are as [record.Reader.Latest] gives them. What a night took of paper stands in its own
// page alone: it would have to be packed again.
func IndexHTML(root string, nights []record.Night) ([]byte, error) {
	studio, err := os.OpenRoot(root)
	if err != nil {
		return nil, err
	}
	defer studio.Close()
	x := newIndex(studio, nights[:min(len(nights), MaxNights)])
	var b bytes.Buffer
	if err := layout.ExecuteTemplate(plaintext.Writer(&b), "index", x); err != nil {
		return nil, fmt.Errorf("the page across nights: %w", err)
	}
	return b.Bytes(), nil
}

func newIndex(studio *os.Root, nights []record.Night) *index {
	x := &index{Style: template.CSS(pageStyle), Pictures: pastPictures(nights)}
	for _, n := range nights {
		past := pastNight{Day: n.Date, Sentence: (&Night{Night: n}).Sentence(), Sizes: sizes(n.Records)}
		if day, err := time.Parse(time.DateOnly, n.Date); err == nil {
			past.Day = day.Format(dayFormat)
			file := n.Date + ".html"
			if info, err := studio.Lstat("outbox/morning/" + file); err == nil && info.Mode().IsRegular() {
				past.URL = file
			}
		}
		past.show(studio, n.Records)
		x.Nights = append(x.Nights, past)
	}
	return x
}

// sizes are the prints made in a night by drop folder, the largest size first: "2 for
// 24x36in, 1 for A4".
func sizes(night []record.Entry) string {
	var folders []string
	prints := map[string]int{}
	for _, e := range inPageOrder(night) {
		if s := keysOf(&e.Record).Status; s != isReady && s != isCautioned {
			continue
		}
		folder := e.Record.Order.Folder
		if prints[folder]++; prints[folder] == 1 {
			folders = append(folders, folder)
		}
	}
	for i, folder := range folders {
		folders[i] = fmt.Sprintf("%d for\u00a0%s", prints[folder], folder)
	}
	return strings.Join(folders, ", ")
}
