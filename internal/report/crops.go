package report

import (
	"cmp"
	"fmt"
	"math"
	"os"
	"strconv"

	"github.com/disintegration/imaging"

	"sizewright/internal/exact"
	"sizewright/internal/record"
)

const (
	// cutSide is the side, px, of a cut-out as the page shows it: the middle of
	// the one beside the print. It is never scaled, so that its pixels stay the
	// print's.
	cutSide = 224
	// cutBytes is the limit of its JPEG.
	cutBytes = 8 << 10
	// maxPairs is how many places of a print are shown.
	maxPairs = 3

	// printBytes bounds the pictures of one print in the page, as data URIs.
	printBytes = (thumbBytes + 3*hungBytes + tinyBytes + laidBytes + paperBytes + mapBytes + 2*maxPairs*cutBytes) * 4 / 3
)

// pair is one place of a print at 100 % of its pixels, before sharpening and as
// made.
type pair struct {
	Title string
	Cuts  []cut
}

// cut is one of a pair. Its scale bar is BarPX wide and stands for Bar on paper.
type cut struct {
	Thumb   *thumb
	Alt     string
	Caption string
	BarPX   float64
	Bar     string
	Full    *link
}

// cutOuts names the places that a print is cut out at.
var cutOuts = map[string]string{
	"detail":   "the finest detail",
	"gradient": "a smooth change of tone",
	"shadow":   "the shadows",
	"gamut":    "where the paper misses most",
}

// pairsOf are the cut-outs of a print; those that cannot be read are left out.
func pairsOf(e record.Entry, pics pictures) []pair {
	var all []pair
	for _, c := range e.Record.Print.Crops {
		if len(all) == maxPairs {
			break
		}
		if p, ok := newPair(c, e, pics); ok {
			if len(all) == 0 { // all are as large
				p.Title += typeset(fmt.Sprintf(" %d px are %s mm on paper.", c.SidePX, tenths(c.SideMM)))
			}
			all = append(all, p)
		}
	}
	return all
}

func newPair(c record.Crop, e record.Entry, pics pictures) (pair, bool) {
	if c.SidePX <= 0 || !(c.SideMM > 0) || math.IsInf(c.SideMM, 0) {
		return pair{}, false
	}
	what, name := cmp.Or(cutOuts[c.Name], c.Name), e.Record.Source.Name
	p := pair{Title: sentence(cmp.Or(c.Why, what), "")}
	thumbs, ok := pairOf(e.Beside(c.Before), e.Beside(c.File), pics)
	if !ok {
		return pair{}, false
	}
	for i, x := range []struct{ caption, alt, file string }{
		{"Before sharpening", "The same cut-out of " + name + " before sharpening, " + what, c.Before},
		{"As printed", "Cut-out of the print of " + name + ", " + what, c.File},
	} {
		mm := barMM(c.SideMM / float64(c.SidePX))
		p.Cuts = append(p.Cuts, cut{
			Thumb: thumbs[i], Alt: x.alt, Caption: x.caption,
			Bar: typeset(strconv.FormatFloat(mm, 'f', -1, 64) + " mm"), BarPX: math.Round(10*mm*float64(c.SidePX)/c.SideMM) / 10,
			Full: fullSize(x.caption, name, href(e.Beside(x.file))),
		})
	}
	return p, true
}

// pairOf are two cut-outs of one place at one size: that of the one which shows less.
func pairOf(before, after string, pics pictures) (both [2]*thumb, ok bool) {
	side := cutSide
	for {
		least := side
		for i, path := range []string{before, after} {
			t, err := pics.cutOut(path, side)
			if err != nil {
				return both, false
			}
			both[i], least = t, min(least, max(t.Width, t.Height))
		}
		if both[0].Width == both[1].Width && both[0].Height == both[1].Height || least == side {
			return both, true
		}
		side = least
	}
}

// cutOut is the middle of a cut-out, its pixels as they are. What is too rich to
// be told well in cutBytes shows less of it, not worse.
func cutOut(studio *os.Root, path string, side int) (*thumb, error) {
	img, err := readPreview(studio, path)
	if err != nil {
		return nil, err
	}
	for ; side > 0; side = side * 3 / 4 {
		img = imaging.CropCenter(img, side, side)
		data, err := encodeWithin(img, cutBytes, cutQualities)
		if err == nil {
			return inPage(img, data), nil
		}
	}
	return nil, fmt.Errorf("%s: %w", path, errTooLarge)
}

// barMM is the length of a scale bar, mm on paper, where a pixel is mmPerPX wide:
// 1, 2 or 5 times a power of ten, so that the bar is at most 96 px.
func barMM(mmPerPX float64) float64 {
	most := 96 * mmPerPX
	power := math.Pow10(int(math.Floor(exact.Log10(most))))
	for _, k := range []float64{5, 2} {
		if k*power <= most {
			return k * power
		}
	}
	return power
}

// As is a thumbnail with the text that stands for it.
func (t *thumb) As(alt string) any {
	return struct {
		Thumb *thumb
		Alt   string
	}{t, alt}
}
