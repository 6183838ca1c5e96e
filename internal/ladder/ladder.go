package ladder

import (
	"cmp"
	"slices"

	"sizewright/internal/detail"
	"sizewright/internal/printsize"
	"sizewright/internal/vision"
)

// A Picture is the picture to be judged. Width and Height are in pixels, of the upright
// picture, and above 0.
type Picture struct {
	Name          string
	Width, Height int
	Spectrum      *detail.Spectrum // nil if unknown
	Counted       vision.Share     // of its pixels, what the verdict counts; zero: by the spectrum, see [Counted]
}

// Options are the options of a ladder. Zero values mean the defaults.
type Options struct {
	PPI        float64       // the printer's; 0: 360
	DistanceMM float64       // viewing distance of every rung, at least the near point; 0: 1.5 diagonals
	Viewer     vision.Viewer // its zero values mean the defaults
	Share      float64       // share of the fine detail that a print should show, 0..1; 0: 0.75
	Reference  string        // the rung whose perspective SameViewMM refers to; "": the largest

	// Distances are the viewing distances of rungs with a distance of their own, by
	// name.
	Distances map[string]float64

	// Levels are what a print of a size and a diagonal in mm asks for, of the size "" for
	// any; nil: [vision.NewLevels].
	Levels func(size string, diagonalMM float64) vision.Levels

	Mark  string // a rung to be marked, such as the print to be made; "": none
	Print *Print // the print at that rung; nil: the whole picture, as large as fits
}

// A Print is a picture, or a part of it, on paper.
type Print struct {
	WidthMM, HeightMM float64
	NativePPI         float64 // picture pixels per inch
}

const (
	defaultPPI   = 360
	defaultShare = 0.75
)

func (o Options) withDefaults() Options {
	if !(o.PPI > 0) {
		o.PPI = defaultPPI
	}
	if !(o.Share > 0) {
		o.Share = defaultShare
	}
	o.Viewer = o.Viewer.WithDefaults()
	return o
}

// A Ladder is one picture at many sizes. Rungs are in ascending order.
type Ladder struct {
	Picture  string  `json:"picture"`
	WidthPX  int     `json:"width_px"`
	HeightPX int     `json:"height_px"`
	Pixels   float64 `json:"megapixels"`

	// Resolution is the picture's true resolution as a share of its pixel resolution,
	// 0..1. Effective is the number of megapixels that would hold it.
	Resolution float64 `json:"true_resolution"`
	Effective  float64 `json:"effective_megapixels"`

	// Enlarged is the factor by which the file was enlarged before, as far as that can
	// be detected. 0 means that no enlargement was found, not that there was none.
	Enlarged float64 `json:"enlarged,omitempty"`

	// Plain means that the picture has hardly any fine detail, so that no size is too
	// small or too large for it.
	Plain bool `json:"plain"`

	// Unmeasured means that the picture is too small for its detail to be measured, or
	// was not measured. It is judged by its pixel count, as a detailed photograph.
	Unmeasured bool `json:"unmeasured,omitempty"`

	Bands   []detail.Band `json:"bands"`             // the detail spectrum, finest first
	Regions *Regions      `json:"regions,omitempty"` // nil where there are none

	PPI       float64       `json:"ppi"`
	Viewer    vision.Viewer `json:"viewer"`
	Share     float64       `json:"share"` // share of the fine detail that a print should show
	Reference string        `json:"reference"`

	Rungs   []Rung `json:"rungs"`
	Needs   Limit  `json:"needs_at_least"`
	Carries Limit  `json:"carries_up_to"`

	// Gain is what size adds: the detail seen at the largest rung minus that at the
	// smallest, both at the look distance.
	Gain float64 `json:"gain"`

	Holds   string `json:"holds"`   // in words: the megapixels, and for how many of them there is detail
	Verdict string `json:"verdict"` // in words, one or two sentences
	Basis   string `json:"basis"`   // in words: what the estimate is based on

	Mark string `json:"mark,omitempty"`

	curve []Rung // for the plot: prints between the rungs, with only their views
}

// A Limit is the smallest or the largest suitable size.
type Limit struct {
	// Rung is the name of the rung; "" if no rung is suitable.
	Rung string `json:"rung,omitempty"`

	// WidthMM and HeightMM are the picture's printed size exactly at the limit, in
	// whole mm, whatever the rungs. They are 0 if there is no limit between 1 cm and 20
	// m, or if rungs have distances of their own.
	WidthMM  float64 `json:"width_mm,omitempty"`
	HeightMM float64 `json:"height_mm,omitempty"`
}

// Regions summarise how sharpness varies over a picture. A background may be soft on
// purpose.
type Regions struct {
	Count int `json:"count"`
	Blank int `json:"blank"` // regions without detail to measure, such as a clear sky

	// The tenth, fiftieth and ninetieth percentile of the true resolution of the other
	// regions, 0..1 as for the picture.
	Softest  float64 `json:"softest_tenth"`
	Median   float64 `json:"median"`
	Sharpest float64 `json:"sharpest_tenth"`
}

// A Rung is the whole picture printed as large as fits a size, or the print that was
// given for that size.
type Rung struct {
	Name      string  `json:"name"`
	WidthMM   float64 `json:"width_mm"` // printed size of the picture
	HeightMM  float64 `json:"height_mm"`
	NativePPI float64 `json:"native_ppi"`
	Scale     float64 `json:"scale"` // print pixels per picture pixel

	Usual View `json:"usual"` // from the usual distance
	Look  View `json:"look"`  // from the look distance, or the distance given; it decides
	Near  View `json:"near"`  // from the near point

	// Verdict is whether the file carries the print, "" in ladders from before there was
	// one.
	Verdict         vision.Verdict `json:"verdict,omitempty"`
	CountedLeastPPI float64        `json:"counted_least_ppi,omitempty"` // of NativePPI, what the verdict counts at least
	CountedMostPPI  float64        `json:"counted_most_ppi,omitempty"`  // and at most
	LeastPPI        float64        `json:"minimum_ppi,omitempty"`       // below it: too small
	SharpPPI        float64        `json:"caution_ppi,omitempty"`       // below it: may look soft up close

	// SameViewMM is the distance at which this print shows the same perspective as the
	// reference rung does from its usual distance.
	SameViewMM float64 `json:"same_view_mm"`

	Sentence string `json:"sentence"`
}

// A View is what is seen of a rung from a distance.
type View struct {
	DistanceMM      float64 `json:"distance_mm"`
	PixelsPerDegree float64 `json:"pixels_per_degree"` // the picture's
	Detail          float64 `json:"detail"`            // visible share of the fine detail, 0..1
}

// DefaultSizes returns the default rungs.
func DefaultSizes() []printsize.Size {
	var sizes []printsize.Size
	for _, name := range []string{"A6", "A5", "A4", "A3", "A3+", "A2", "24x36in", "40x60in"} {
		size, err := printsize.ParseSize(name)
		if err != nil {
			panic(err) // the list above is wrong
		}
		sizes = append(sizes, size)
	}
	return sizes
}

// New returns the ladder of a picture at the given sizes, or at the [DefaultSizes] if
// there are none.
func New(p Picture, sizes []printsize.Size, o Options) *Ladder {
	if len(sizes) == 0 {
		sizes = DefaultSizes()
	}
	s := newScene(p, o.withDefaults())
	l := s.head(p)
	l.Rungs = s.rungs(sizes)
	l.curve = s.curve(l.Rungs)
	s.sameView(l)
	l.Needs, l.Carries = s.needs(l.Rungs), s.carries(l.Rungs)
	if !l.Plain {
		l.Gain = l.Rungs[len(l.Rungs)-1].Look.Detail - l.Rungs[0].Look.Detail
	}
	l.roundValues()
	l.tell()
	return l
}

// Rank sorts ladders by Gain, largest first. Unmeasured pictures follow, and pictures
// with hardly any detail come last.
func Rank(ladders []*Ladder) {
	last := func(l *Ladder) int {
		switch {
		case l.Plain:
			return 2
		case l.Unmeasured:
			return 1
		}
		return 0
	}
	slices.SortStableFunc(ladders, func(a, b *Ladder) int {
		return cmp.Or(cmp.Compare(last(a), last(b)), cmp.Compare(b.Gain, a.Gain), cmp.Compare(a.Picture, b.Picture))
	})
}

// rung finds a rung by name; it returns nil if there is none.
func (l *Ladder) rung(name string) *Rung {
	for i := range l.Rungs {
		if l.Rungs[i].Name == name {
			return &l.Rungs[i]
		}
	}
	return nil
}
