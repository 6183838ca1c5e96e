package order

import (
	"cmp"
	"fmt"
	"math"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/exact"
	"sizewright/internal/hold"
	"sizewright/internal/ladder"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/vision"
)

// Resolution is whether the file carries the print.
//
// The model: what counts of a file are the pixels that carry picture ([vision.Counted]). Of
// an enlarged file those are what it was enlarged from. From a true resolution of 0.6 of the
// grid, which ordinary sharp photographs have, all pixels count. Up to 0.5, the file may be a
// soft photograph or one that was enlarged without a trace, so a range counts, from its
// detail alone to that of a typical photograph: the low end must carry the print, and the
// high end be too small. Between the two both ends rise in straight lines to all pixels: at
// 0.55 it is 0.75 to 0.83 of them, so that no small difference decides. A picture with
// hardly any detail has none to lack, and all its pixels count. A print needs what an eye of one minute of arc resolves from where people
// stand, 1.5 diagonals away, but no nearer than 45 cm and no further than 65 cm, since they
// come as near as that to any print ([vision.NewLevels]). Down to two thirds of it it
// may look soft up close, and a person is to see, since detail of a picture's contrast is hardly seen beyond; below it
// is too small.
//
// Practice is silent on 6 MP at 24x36in, 83 ppi where 90 is the least. They are too small,
// as 90 ppi at A4 are, since they look as soft from an arm's length, and the paper is dear.
// A room that thinks otherwise says so by too_small or minimum_ppi.
type Resolution struct {
	Verdict           vision.Verdict `json:"verdict,omitempty"`           // "" in records from before there was one
	NativePPI         float64        `json:"native_ppi"`                  // source pixels an inch of print
	DetailPPI         float64        `json:"detail_ppi,omitempty"`        // of those, what its detail would need; 0 is not known
	CountedLeastPPI   float64        `json:"counted_least_ppi,omitempty"` // of those, what counts at least, by which it carries the print
	CountedMostPPI    float64        `json:"counted_most_ppi,omitempty"`  // and at most, by which it is too small
	MinimumPPI        float64        `json:"minimum_ppi"`                 // below it: too small
	CautionPPI        float64        `json:"caution_ppi"`                 // below it: may look soft up close
	ViewingDistanceMM float64        `json:"viewing_distance_mm"`
	JudgedFromMM      float64        `json:"judged_from_mm,omitempty"` // how near people come
	Basis             string         `json:"basis"`                    // "viewing distance" or "set"
	MadeSmaller       bool           `json:"made_smaller,omitempty"`   // than the size asked for, for which it is too small
}

// viewingDistance is where people stand for a print of this diagonal, unless
// the folder's settings say.
func viewingDistance(diagonalMM float64, s config.Settings) float64 {
	if s.ViewingDistanceMM > 0 {
		return s.ViewingDistanceMM
	}
	return vision.ViewingDistance(diagonalMM)
}

// Levels are what a print of this diagonal, in mm, asks of a file by the settings of its
// folder. No more is asked than the printer takes.
func Levels(diagonalMM float64, s config.Settings) vision.Levels {
	l := vision.NewLevels(diagonalMM, s.ViewingDistanceMM, s.Acuity)
	l.Least = cmp.Or(s.MinimumPPI, min(l.Least, s.PPI))
	l.Sharp = max(cmp.Or(s.CautionPPI, min(l.Sharp, s.PPI)), l.Least)
	return l
}

var tooFewPixels = hold.New("too-few-pixels", "find a file with more pixels")

var tooLittleDetail = hold.New("too-little-detail", "find a sharper file")

var lowResolution = caution.New("low-resolution", caution.WorthALook,
	"Look at the cut-outs from as near as people will come. If it is too soft, print it smaller.")

var madeSmaller = caution.New("made-smaller", caution.WorthALook,
	"See whether this size will do. If not, find a file with more detail and drop that.")

var madeTooSmall = caution.New("too-small", caution.NeedsYou,
	"Decide from the cut-outs whether it goes on paper at this size.")

// resolution judges the print and, where the file is too small for it, does what the
// folder asks for.
func (p *Plan) resolution(o Order) {
	f := p.fileAt(o.Settings)
	p.Resolution = p.judged(f)
	switch r := p.Resolution; r.Verdict {
	case vision.LookCloser:
		p.caution(lowResolution, "%s at %s, where %.0f look sharp from %s: it may look soft up close",
			p.lacking(f), p.Size.Name, r.CautionPPI, vision.FormatDistance(r.JudgedFromMM))
	case vision.TooSmall:
		p.tooSmall(f, o)
	}
	p.Resolution.ViewingDistanceMM = math.Round(viewingDistance(exact.Hypot(p.Print.WidthMM, p.Print.HeightMM), o.Settings))
}

// judged is all but the viewing distance.
func (p *Plan) judged(f carrier) Resolution {
	levels := Levels(f.diagonal(f.widthMM), f.set)
	r := Resolution{
		Verdict:         levels.Judge(f.ppi(f.widthMM), f.counted),
		NativePPI:       round(f.ppi(f.widthMM), 1),
		CountedLeastPPI: round(f.ppi(f.widthMM)*f.counted.Least, 1), CountedMostPPI: round(f.ppi(f.widthMM)*f.counted.Most, 1),
		MinimumPPI: round(levels.Least, 1), CautionPPI: round(levels.Sharp, 1),
		JudgedFromMM: math.Round(vision.JudgingDistance(f.diagonal(f.widthMM), f.set.ViewingDistanceMM)),
		Basis:        "viewing distance",
	}
	if f.set.MinimumPPI > 0 {
		r.Basis = "set"
	}
	if m := p.Measured; m != nil {
		r.DetailPPI = round(r.NativePPI*m.Resolution, 1)
	}
	return r
}

// tooSmall holds the print, makes it smaller or makes it all the same.
func (p *Plan) tooSmall(f carrier, o Order) {
	lacks := fmt.Sprintf("too small for %s, where %s and %.0f is the least (judged from %s)",
		p.Size.Name, p.lacking(f), p.Resolution.MinimumPPI, vision.FormatDistance(p.Resolution.JudgedFromMM))
	w, h := f.largest()
	switch room := o.Settings.TooSmall; {
	case room == config.TooSmallMake:
		p.caution(madeTooSmall, "%s; it is made all the same, as this folder asks", lacks)
	case room == config.TooSmallLargest && min(w, h) >= printsize.MinSideMM:
		p.place(printsize.Size{Name: o.Size.Name, WidthMM: w, HeightMM: h}, o.Settings)
		f.widthMM = min(w, h*f.crop.Width/f.crop.Height)
		p.Resolution = p.judged(f)
		p.Resolution.MadeSmaller = true
		p.caution(madeSmaller, "%s; it is made at %.0f x %.0f mm, as large as it carries, as this folder asks", lacks, p.Print.WidthMM, p.Print.HeightMM)
	default:
		p.refuse(f, o, lacks)
	}
}

// lacking is what the file has.
func (p *Plan) lacking(f carrier) string {
	has := fmt.Sprintf("%d x %d px are %.0f ppi", p.Picture.Width, p.Picture.Height, p.Resolution.NativePPI)
	if f.counted == vision.All {
		return has
	}
	why := "an estimate"
	if times := p.Measured.Enlarged; times > 0 {
		why = fmt.Sprintf("the file looks enlarged %.3g times", times)
	}
	return fmt.Sprintf("%s with detail for about %s of %s (%s), which counts as %s",
		has, ladder.Megapixels(p.Measured.EffectiveMP), ladder.Megapixels(float64(p.Picture.Width)*float64(p.Picture.Height)/1e6), why, p.Resolution.Counts())
}

// Counts is what of the file counts, as 96 ppi, or as 58 to 96 ppi.
func (r Resolution) Counts() string {
	least, most := fmt.Sprintf("%.0f", r.CountedLeastPPI), fmt.Sprintf("%.0f", r.CountedMostPPI)
	if least == most {
		return most + " ppi"
	}
	return least + " to " + most + " ppi"
}

// refuse says why no print is made, and which size the file carries.
func (p *Plan) refuse(f carrier, o Order, lacks string) {
	k := tooFewPixels
	if p.Resolution.NativePPI >= p.Resolution.MinimumPPI {
		k = tooLittleDetail
	}
	w, h := f.largest()
	name := p.largestNamed(o)
	lacks += fmt.Sprintf("; it would carry %.0f x %.0f mm", w, h)
	if name != "" {
		lacks += fmt.Sprintf(", so %s at the most", name)
		folder := printsize.Folder{Size: printsize.Size{Name: name}, Stock: o.Stock}
		k = k.With(fmt.Sprintf("drop it into %s, or %s", folder.Name(), k.Remedy))
	}
	p.Refusal = &Refusal{Hold: *k.Say("%s", lacks), WidthMM: w, HeightMM: h, Size: name}
}

// carrier is a file that is asked to carry a print.
type carrier struct {
	crop    render.Rect // of its picture
	set     config.Settings
	counted vision.Share
	widthMM float64 // of the print asked for, before it is rounded to pixels
}

func (p *Plan) fileAt(s config.Settings) carrier {
	f := carrier{p.Crop, s, vision.All, min(p.Size.WidthMM, p.Size.HeightMM*p.Crop.Width/p.Crop.Height)}
	if m := p.Measured; m != nil {
		f.counted = m.Counted()
	}
	return f
}

// ppi are the pixels an inch in a print so wide.
func (f carrier) ppi(widthMM float64) float64 {
	return f.crop.Width * printsize.MMPerInch / widthMM
}

func (f carrier) diagonal(widthMM float64) float64 {
	return exact.Hypot(widthMM, widthMM*f.crop.Height/f.crop.Width)
}

// carries tells whether a print this wide, in mm, is not too small.
func (f carrier) carries(widthMM float64) bool {
	return Levels(f.diagonal(widthMM), f.set).Judge(f.ppi(widthMM), f.counted) != vision.TooSmall
}

// largest is the largest print, in whole mm, that it carries. The verdict never rises with
// size, so halving finds it.
func (f carrier) largest() (wMM, hMM float64) {
	lo, hi := 0.0, f.crop.Width*printsize.MMPerInch // 1 ppi
	for hi-lo > 1e-4 {
		if mid := (lo + hi) / 2; f.carries(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Floor(hi), math.Floor(hi * f.crop.Height / f.crop.Width)
}

// largestNamed is the largest of the known sizes that the picture carries, each cropped as
// it would be there and by the settings of that folder, or "".
func (p *Plan) largestNamed(o Order) (name string) {
	there := *p
	for _, s := range printsize.Known() {
		set := o.Settings
		if o.Elsewhere != nil {
			set = o.Elsewhere(s.Name)
		}
		there.Size.WidthMM, there.Size.HeightMM = s.Fit(p.Picture.Width > p.Picture.Height)
		there.place(s, set)
		if f := there.fileAt(set); f.carries(f.widthMM) {
			name = s.Name
		}
	}
	return name
}
