package ladder

import (
	"cmp"
	"slices"

	"sizewright/internal/detail"
	"sizewright/internal/eye"
	"sizewright/internal/printsize"
)

// A Picture is what is asked about. Width and height are in pixels, upright, and
// above 0.
type Picture struct {
	Name          string
	Width, Height int
	Spectrum      *detail.Spectrum // nil: nothing is known of its detail
}

// Options are what a ladder is asked for. The zero value asks the usual.
type Options struct {
	PPI        float64    // the printer's; 0: 360
	DistanceMM float64    // from where every rung is seen, and judged, at least the near point; 0: 1.5 of its diagonals
	Viewer     eye.Viewer // what is 0 in it is usual
	Share      float64    // of the fine detail that a print should show, 0..1; 0: 0.75
	Reference  string     // the rung whose perspective the others are held to; "": the largest

	// Distances are for rungs that hang where another distance is given, by name.
	Distances map[string]float64

	Mark  string // a rung to be marked, such as the print that is made; "": none
	Print *Print // what is printed there; nil: the whole picture, as large as it goes into the size
}

// A Print is a picture, or a part of it, on paper.
type Print struct {
	WidthMM, HeightMM float64
	NativePPI         float64 // the picture's pixels to an inch
}

const (
	usualPPI   = 360
	usualShare = 0.75
)

func (o Options) orUsual() Options {
	if !(o.PPI > 0) {
		o.PPI = usualPPI
	}
	if !(o.Share > 0) {
		o.Share = usualShare
	}
	o.Viewer = o.Viewer.OrUsual()
	return o
}

// A Ladder is one picture over many sizes. Rungs ascend.
type Ladder struct {
	Picture  string  `json:"picture"`
	WidthPX  int     `json:"width_px"`
	HeightPX int     `json:"height_px"`
	Pixels   float64 `json:"megapixels"`

	// Resolution is the picture's true resolution as a share of its pixel grid's,
	// 0..1, and Effective the megapixels that would hold it.
	Resolution float64 `json:"true_resolution"`
	Effective  float64 `json:"effective_megapixels"`

	// Enlarged is how many times the file was enlarged before, as far as that left a
	// trace; 0 where none was found, which does not prove that it was not.
	Enlarged float64 `json:"enlarged,omitempty"`

	// Plain tells that the picture has hardly any fine detail, so that no size is too
	// small or too large for it.
	Plain bool `json:"plain"`

	// Unmeasured tells that the picture is too small for its detail to be measured, or
	// that it was not. It is judged by its pixels, as a lively photograph of so many.
	Unmeasured bool `json:"unmeasured,omitempty"`

	Bands   []detail.Band `json:"bands"`             // its detail spectrum, the finest first
	Regions *Regions      `json:"regions,omitempty"` // nil where there are none

	PPI       float64    `json:"ppi"`
	Viewer    eye.Viewer `json:"viewer"`
	Share     float64    `json:"share"` // of the fine detail that is asked for
	Reference string     `json:"reference"`

	Rungs   []Rung `json:"rungs"`
	Needs   Limit  `json:"needs_at_least"`
	Carries Limit  `json:"carries_up_to"`

	// Gain is how much size gives the picture: the detail seen at the largest rung
	// less that at the smallest, both from the look distance.
	Gain float64 `json:"gain"`

	Holds   string `json:"holds"`   // in words: megapixels, and for how many there is detail
	Verdict string `json:"verdict"` // in words, one or two sentences
	Basis   string `json:"basis"`   // in words: an estimate, and by what

	Mark string `json:"mark,omitempty"`

	curve []Rung // for the plot: prints between the rungs, with their views alone
}

// A Limit is a size that decides something.
type Limit struct {
	// Rung is its name; "" when none of the rungs will do.
	Rung string `json:"rung,omitempty"`

	// WidthMM and HeightMM are the picture's print exactly at the limit, in whole
	// mm, whatever the rungs; 0 when there is no limit from 1 cm to 20 m, or where
	// rungs have distances of their own.
	WidthMM  float64 `json:"width_mm,omitempty"`
	HeightMM float64 `json:"height_mm,omitempty"`
}

// Regions tell how sharp a picture is from place to place: a background may be soft on
// purpose.
type Regions struct {
	Count int `json:"count"`
	Blank int `json:"blank"` // of them, those with nothing to tell by, such as a clear sky

	// The true resolution that a tenth of the others do not reach, that half do not
	// reach, and that a tenth surpass; 0..1 as the picture's.
	Softest  float64 `json:"softest_tenth"`
	Median   float64 `json:"median"`
	Sharpest float64 `json:"sharpest_tenth"`
}

// A Rung is the whole picture printed as large as it goes into a size, or the print
// that was given for it.
type Rung struct {
	Name      string  `json:"name"`
	WidthMM   float64 `json:"width_mm"` // of the picture on it
	HeightMM  float64 `json:"height_mm"`
	NativePPI float64 `json:"native_ppi"`
	Scale     float64 `json:"scale"` // print pixels a picture pixel

	Usual View `json:"usual"` // people stand back
	Look  View `json:"look"`  // and come nearer, unless a distance was given; it is judged from here
	Near  View `json:"near"`  // as near as an eye focuses

	// Missing is the octave just above the picture's true resolution, the first that is
	// not there. How strongly an eye sees that is a view's Softness.
	Missing Octave `json:"missing"`
	// Soft tells that an eye at the look distance sees that it is missing.
	Soft bool `json:"soft"`

	// SameViewMM is from where this print shows the perspective that the reference
	// rung shows from its usual distance.
	SameViewMM float64 `json:"same_view_mm"`

	Sentence string `json:"sentence"`
}

// A View is what is seen of a rung from a distance.
type View struct {
	DistanceMM      float64 `json:"distance_mm"`
	PixelsPerDegree float64 `json:"pixels_per_degree"` // the picture's
	Detail          float64 `json:"detail"`            // share of the fine detail that is seen, 0..1
	Softness        float64 `json:"softness"`          // what is missing, in thresholds: from 1 it is seen
	SoftnessChance  float64 `json:"softness_chance"`   // that it is seen, 0..1
}

// An Octave is a band of spatial frequency on paper, in cycles per mm.
type Octave struct {
	LowPerMM  float64 `json:"low_per_mm"`
	HighPerMM float64 `json:"high_per_mm"`
}

// Usual returns the rungs that a ladder has when none are given.
func Usual() []printsize.Size {
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

// New puts a picture on the ladder of the given sizes, or of [Usual] ones if there
// are none.
func New(p Picture, sizes []printsize.Size, o Options) *Ladder {
	if len(sizes) == 0 {
		sizes = Usual()
	}
	s := newScene(p, o.orUsual())
	l := s.head(p)
	l.Rungs = s.rungs(sizes)
	l.curve = s.curve(l.Rungs)
	s.sameView(l)
	l.Needs, l.Carries = s.needs(l.Rungs), s.carries(l.Rungs)
	if !l.Plain {
		l.Gain = l.Rungs[len(l.Rungs)-1].Look.Detail - l.Rungs[0].Look.Detail
	}
	l.tidy()
	english.tell(l)
	return l
}

// Rank sorts ladders by how much size gives the picture, most first; pictures
// with hardly any detail come last, after those that were not measured.
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

// rung finds a rung by name, nil if there is none.
func (l *Ladder) rung(name string) *Rung {
	for i := range l.Rungs {
		if l.Rungs[i].Name == name {
			return &l.Rungs[i]
		}
	}
	return nil
}
