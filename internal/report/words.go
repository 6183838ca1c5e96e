package report

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"sizewright/internal/colour"
	"sizewright/internal/exact"
	"sizewright/internal/ladder"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// words is everything the page says, in one language. Another language is
// another value of this type; nothing a person reads is written elsewhere in
// this package. Reasons, cautions and faults arrive as sentences; they are
// typeset, not reworded.
type words struct {
	Tag string // BCP 47

	Report    string // what this page is
	NeedsYou  string // headings
	Ready     string
	LeftAlone string
	NoNeeds   string // under NeedsYou, when nothing does
	ToDo      string // before the one thing to do

	Held    string // what an order came to, above its name
	Fault   string
	Caution string

	Size, Pixels, Resolution, Scale, Sharpening, Crop, Carries, Ladder string // facts, by their term
	Colour, Gamut, Spaces                                              string

	Paper, CutsOf     string // of what the night takes
	Laid, SheetOf     string // how a print lies
	OnPaper, GamutMap string // other views, by what opens them
	FullSize          string // link from one
	MapScale          string // how a map is read
	CutOuts           string // at the print's own pixels
	Unsharpened, Made string // under the two of a pair
	LadderPlot        string

	Find, FindName, Any, NoneNamed, ShowAll string            // looking for an order
	Stock, Status                           string            // what by
	Shown                                   string            // {n} of {all}
	States                                  map[string]string // of an order, by its data-status
	OnThisPage                              string

	Reports, Nights, Pictures, NoNights string // the page across nights
	OtherNights                         string // link to it

	Ticks, NeedTicks []string // boxes of the work sheet, for a print and for what needs somebody

	TIFF, Record, Original string // links
	LinkOf                 func(link, name string) string
	Back                   string // after a fault
	WholeFolder            string // left alone: the folder itself
	ForPrograms            string // link to the JSON
	Unread                 string // in place of a held picture's size in pixels
	NoPreview              string // in place of a thumbnail that is not there

	Date       func(time.Time) string
	ShortDate  func(time.Time) string
	SizesOf    func([]sizeCount) string // "" for none
	Night      func(c record.Counts, left int, from, to time.Time, paper sheet.Estimate) string
	Instead    func(code, size string) string // and about a held picture; size is what it carries, "" for none
	Prints     func(n int) string
	MM         func(w, h float64) string // both sides in mm and inches
	PX         func(w, h int) string
	PPI        func(native, final float64) string
	DetailPPI  func(ppi float64) string
	Times      func(scale float64, kept bool) string
	Mask       func(stage int, s render.Sharpening) string
	NoMask     string
	CroppedTo  func(w, h float64, ofW, ofH int) string
	Largest    func(size string, w, h float64) string
	RunOf      func(media, mode string, n int, r roll.Run, p roll.Plan) string
	Piece      func(n int, p roll.Piece) string
	Rung       func(*ladder.Ladder) []string             // what size does for the picture, this print's rung first
	BriefOf    func(p *record.Print, path string) string // for the work sheet
	PreviewOf  func(name string) string
	OnPaperOf  func(name string) string
	GamutMapOf func(name string) string
	CutOutOf   func(cut, name string, made bool) string
	CutOut     map[string]string       // what a cut-out shows, by its record's name
	BarOf      func(mm float64) string // a scale bar's length
	CutSides   func(px int, mm float64) string
	Converted  func(profile string, converted bool, intent string, blackPoint bool) string
	Stated     func(space, by string) string
	Beyond     func(g *colour.Gamut) string
	Losses     func(spaces []colour.SpaceLoss) string
	Taken      func(t time.Time, camera, lens string, iso int) []string
	MadeAs     func(file string) string
	Sentence   func(text, name string) string
	InFolder   func(folder string) string
	ReportDate func(date string) string // the page's title
}

var english = words{
	Tag: "en-GB",

	Report:    "Morning report",
	NeedsYou:  "What needs you",
	Ready:     "Ready",
	LeftAlone: "Left alone",
	NoNeeds:   "Nothing. Every print is ready.",
	ToDo:      "To do:",

	Held:    "Held",
	Fault:   "Went wrong",
	Caution: "Look at this",

	Size: "Size", Pixels: "Pixels", Resolution: "Resolution", Scale: "Scale",
	Sharpening: "Sharpening", Crop: "Crop", Carries: "Would carry", Ladder: "At this size",
	Colour: "Colour", Gamut: "Gamut", Spaces: "Working spaces",

	OnPaper: "On the paper\u2019s own white", GamutMap: "Where the paper misses",
	FullSize: "Full size",
	MapScale: "Grey is held. A miss of 1 (CIEDE2000) is dark violet; from there it goes by rose and orange to pale yellow, which is 12 or more.",

	TIFF: "TIFF", Record: "Record", Original: "Original",
	CutOuts: "Cut-outs, pixel for pixel", Unsharpened: "Before sharpening", Made: "As printed",
	LadderPlot: "How large it can go", CutOut: cutOutsInEnglish,
	CutOutOf: cutOutOfInEnglish, BarOf: barInEnglish, CutSides: cutSidesInEnglish,

	Find: "Find a print", FindName: "Name", Any: "any", NoneNamed: "none named", ShowAll: "Show all",
	Stock: "Paper", Status: "Status", Shown: "{n} of {all} shown.",
	States: map[string]string{
		isHeld: "held", isFault: "went wrong", isCautioned: "ready with cautions", isReady: "ready", isAgain: "made before",
	},
	OnThisPage: "On this page",
	Reports:    "Morning reports", Nights: "Nights", Pictures: "Pictures",
	NoNights: "Nothing was made yet.", OtherNights: "Other nights",
	Ticks: []string{"Printed", "Looked over", "Trimmed"}, NeedTicks: []string{"Seen to"},

	LinkOf:      func(link, name string) string { return link + " of " + name },
	Back:        "The original is back in its drop folder.",
	WholeFolder: "the whole folder",
	ForPrograms: "The same for programs",
	Unread:      "not read",
	NoPreview:   "no preview",

	Date:      func(t time.Time) string { return t.Format("Monday 2 January 2006") },
	Night:     nightInEnglish,
	ShortDate: func(t time.Time) string { return t.Format("2\u00a0January 2006") },
	SizesOf: func(sizes []sizeCount) string {
		var parts []string
		for _, s := range sizes {
			parts = append(parts, fmt.Sprintf("%d for\u00a0%s", s.Prints, s.Folder))
		}
		return strings.Join(parts, ", ")
	},
	Instead: insteadInEnglish,
	Prints:  func(n int) string { return count(n, "print", "prints") },
	MM:      sidesIn(BothUnits),
	PX:      func(w, h int) string { return typeset(fmt.Sprintf("%d x %d px", w, h)) },
	PPI: func(native, final float64) string {
		return typeset(fmt.Sprintf("%.0f ppi native, printed at %s ppi", native, tenths(final)))
	},
	DetailPPI: func(ppi float64) string {
		return typeset(fmt.Sprintf("detail for about %.0f ppi of it (estimate)", ppi))
	},
	Times:  scaleInEnglish,
	Mask:   maskInEnglish,
	NoMask: "none",
	CroppedTo: func(w, h float64, ofW, ofH int) string {
		return typeset(fmt.Sprintf("%.0f x %.0f of %d x %d px", w, h, ofW, ofH))
	},
	Largest: words{}.in(BothUnits).Largest,
	Rung:    rungInEnglish,
	RunOf:   runInEnglish,
	Piece:   pieceInEnglish,
	Paper:   "Paper", CutsOf: "Cuts, in order",
	Laid: "Laid on", SheetOf: "On its paper",
	BriefOf: func(p *record.Print, path string) string {
		return briefInEnglish(sidesIn(BothUnits), p, path)
	},
	PreviewOf: func(name string) string { return "Preview of the print of " + name },
	OnPaperOf: func(name string) string { return "The print of " + name + " on the paper\u2019s own white" },
	GamutMapOf: func(name string) string {
		return "Map of where the paper misses the colours of " + name + ", and by how much"
	},
	Converted:  convertedInEnglish,
	Stated:     statedInEnglish,
	Beyond:     beyondInEnglish,
	Losses:     lossesInEnglish,
	Taken:      takenInEnglish,
	MadeAs:     func(file string) string { return "already made, as " + file },
	Sentence:   sentenceInEnglish,
	InFolder:   func(folder string) string { return "for " + folder },
	ReportDate: func(date string) string { return "Morning report, " + date },
}

// nightInEnglish tells the night in one sentence.
func nightInEnglish(c record.Counts, left int, from, to time.Time, paper sheet.Estimate) string {
	made := c.Ready + c.WithCautions
	var also []string
	add := func(n int, one, many string) {
		if n > 0 {
			also = append(also, count(n, one, many))
		}
	}
	add(c.Held, "picture was held", "pictures were held")
	add(c.AlreadyMade, "had been made before", "had been made before")
	add(c.Faults, "order met a fault", "orders met a fault")
	if made+len(also) > 0 {
		add(left, "thing was left alone", "things were left alone")
	}

	when := spanInEnglish(from, to)
	text := "no print was made" + when
	switch {
	case made == 0 && len(also) == 0 && left == 0:
		text = "nothing was waiting" + when
	case made == 0 && len(also) == 0:
		text = "nothing was made" + when + "; what was found was left alone"
	case made > 0:
		text = count(made, "print was made", "prints were made") + when + cautionsInEnglish(c.WithCautions, made) + usedInEnglish(paper, made)
	}
	if len(also) > 0 {
		text += "; " + listInEnglish(also)
	}
	return upperFirst(text) + "."
}

func cautionsInEnglish(n, made int) string {
	switch {
	case n == 0:
		return ""
	case made == 1:
		return ", with cautions"
	case n == made:
		return ", all of them with cautions"
	}
	return ", " + number(n) + " of them with cautions"
}

// spanInEnglish names the days only where there are two of them.
func spanInEnglish(from, to time.Time) string {
	const clock, dayClock = "15:04", "Monday\u00a015:04"
	switch {
	case from.IsZero() || to.IsZero():
		return ""
	case from.Format(time.DateOnly) != to.Format(time.DateOnly):
		return " between " + from.Format(dayClock) + " and " + to.Format(dayClock)
	case from.Format(clock) == to.Format(clock):
		return " at " + to.Format(clock)
	}
	return " between " + from.Format(clock) + " and " + to.Format(clock)
}

// The units that a page can give sizes in.
const (
	Millimetres = "mm"
	Inches      = "in"
	BothUnits   = "both"
)

// in are the words with sizes in the units asked for, both where none are.
func (w words) in(units string) *words {
	w.MM = sidesIn(units)
	w.Largest = func(size string, width, height float64) string {
		if size == "" {
			return w.MM(width, height)
		}
		return size + ", or exactly " + w.MM(width, height)
	}
	w.BriefOf = func(p *record.Print, path string) string { return briefInEnglish(w.MM, p, path) }
	return &w
}

func briefInEnglish(sides func(w, h float64) string, p *record.Print, path string) string {
	return sides(p.WidthMM, p.HeightMM) + ", " + typeset(fmt.Sprintf("%d x %d px", p.WidthPX, p.HeightPX)) + ", " + path
}

// sidesIn writes a print's sides, which are given in mm.
func sidesIn(units string) func(w, h float64) string {
	const in = printsize.MMPerInch
	return func(w, h float64) string {
		switch units {
		case Millimetres:
			return typeset(fmt.Sprintf("%s x %s mm", tenths(w), tenths(h)))
		case Inches:
			return typeset(fmt.Sprintf("%s x %s in", tenths(w/in), tenths(h/in)))
		}
		return typeset(fmt.Sprintf("%s x %s mm (%s x %s in)", tenths(w), tenths(h), tenths(w/in), tenths(h/in)))
	}
}

func scaleInEnglish(scale float64, kept bool) string {
	switch {
	case kept:
		return "as it is, pixel for pixel"
	case scale < 1:
		return "reduced " + times(1/scale)
	case scale == 1:
		return "at its own size"
	}
	return "enlarged " + times(scale)
}

// times writes a factor to two figures, or to the hundredth where two would
// say 1.0.
func times(factor float64) string {
	figures := 2
	if factor < 1.05 || factor >= 99.5 {
		figures = 3
	}
	return typeset(strconv.FormatFloat(roundTo(factor, figures), 'f', -1, 64) + " times")
}

// runInEnglish is one run of a roll, its length and what is not printed on.
func runInEnglish(media, mode string, n int, r roll.Run, p roll.Plan) string {
	text := fmt.Sprintf("%s%s: %.2f m", media, modeOf(mode), r.LengthMM/1000)
	if len(p.Runs) > 1 {
		text = fmt.Sprintf("%s, run %d of %d", text, n, len(p.Runs))
	}
	return typeset(fmt.Sprintf("%s; %.0f %% of the paper goes unused, and no packing is shorter than %.2f m in all", text, 100*p.WasteShare, p.LowerBoundMM/1000))
}

func pieceInEnglish(n int, p roll.Piece) string {
	turned := ""
	if p.Turned {
		turned = ", turned"
	}
	return typeset(fmt.Sprintf("%s: %.0f x %.0f mm%s, at %.0f mm across and %.0f mm along", p.ID, p.Width, p.Height, turned, p.X, p.Y))
}

// rungInEnglish is the ladder's own words: of this print's rung, and of all.
func rungInEnglish(l *ladder.Ladder) []string {
	lines := []string{}
	for _, r := range l.Rungs {
		if r.Name == l.Mark {
			lines = append(lines, typeset(r.Sentence))
		}
	}
	return append(lines, typeset(l.Verdict), "Estimates, from what was measured of the picture.")
}

func maskInEnglish(stage int, s render.Sharpening) string {
	what := [...]string{"before enlarging", "after enlarging", "for the paper"}[stage]
	radius := hundredths(s.RadiusPX) + " px"
	if s.RadiusMM > 0 {
		radius = hundredths(s.RadiusMM) + " mm (" + radius + ")"
	}
	return typeset(fmt.Sprintf("%s: %s, amount %s, limited to %s %%", what, radius, hundredths(s.Amount), tenths(100*s.Limit)))
}

// takenInEnglish tells when a picture was taken, and with what.
func takenInEnglish(t time.Time, camera, lens string, iso int) []string {
	var lines, with []string
	if !t.IsZero() {
		lines = append(lines, "Taken "+t.Format("2 January 2006, 15:04"))
	}
	for _, s := range []string{camera, lens} {
		if s != "" {
			with = append(with, s)
		}
	}
	if iso > 0 {
		with = append(with, "ISO "+strconv.Itoa(iso))
	}
	if with != nil {
		lines = append(lines, strings.Join(with, ", "))
	}
	return lines
}

var (
	byBetweenNumbers = regexp.MustCompile(`(\d) x (\d)`)
	numberAndUnit    = regexp.MustCompile(`(\d) (%|(?:px|ppi|mm|cm|m|in|times)\b)`)
)

// typeset gives 3 x 2 its sign and keeps a number and its unit in one line.
func typeset(text string) string {
	text = byBetweenNumbers.ReplaceAllString(text, "$1\u00a0×\u00a0$2")
	return numberAndUnit.ReplaceAllString(text, "$1\u00a0$2")
}

// sentenceInEnglish sets a program's sentence as a page does: with a capital, a
// full stop and typeset numbers. The file's name in it stays as it is.
func sentenceInEnglish(text, name string) string {
	if text == "" {
		return ""
	}
	if name == "" {
		name = "\x00" // in no text
	}
	if !strings.HasPrefix(text, name) {
		text = upperFirst(text)
	}
	if !strings.ContainsAny(text[len(text)-1:], ".!?") {
		text += "."
	}
	around := strings.Split(text, name)
	for i, part := range around {
		around[i] = typeset(part)
	}
	return strings.Join(around, name)
}

var numbers = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// number writes small numbers out.
func number(n int) string {
	if n < len(numbers) {
		return numbers[n]
	}
	return strconv.Itoa(n)
}

// count is [plural.Count] with small numbers written out.
func count(n int, one, many string) string { return number(n) + " " + plural.Noun(n, one, many) }

// listInEnglish joins as one speaks: "a, b and c".
func listInEnglish(parts []string) string {
	last := len(parts) - 1
	if last == 0 {
		return parts[0]
	}
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}

func upperFirst(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if first == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

func tenths(v float64) string     { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }
func hundredths(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }

// roundTo rounds to so many significant figures.
func roundTo(v float64, figures int) float64 {
	scale := math.Pow10(figures - 1 - int(math.Floor(exact.Log10(v))))
	return math.Round(v*scale) / scale
}
