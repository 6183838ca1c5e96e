package roll

// An Item is one print to be packed.
type Item struct {
	ID       string  `json:"id"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	MayTurn  bool    `json:"may_turn"` // by 90 degrees, clockwise
}

// A Roll is the paper and what must stay free of prints on it, in millimetres.
type Roll struct {
	WidthMM     float64 `json:"width_mm"`
	Left        float64 `json:"left_mm"`       // unprintable, across
	Right       float64 `json:"right_mm"`      // unprintable, across
	Leading     float64 `json:"leading_mm"`    // unprintable, at the start of each run
	Trailing    float64 `json:"trailing_mm"`   // unprintable, at the end of each run
	MaxLengthMM float64 `json:"max_length_mm"` // of a run, with its margins; 0: no limit
	GapMM       float64 `json:"gap_mm"`        // between two prints
	LaneMM      float64 `json:"lane_mm"`       // between prints and margin on either side
}

// UsableMM returns the width for prints: the roll's, less margins and lanes.
func (r Roll) UsableMM() float64 { return r.WidthMM - r.Left - r.Right - 2*r.LaneMM }

// A Plan says where each print goes and how to cut.
type Plan struct {
	Roll         Roll       `json:"roll"`
	Runs         []Run      `json:"runs"`
	Unplaced     []Unplaced `json:"unplaced"`
	LengthMM     float64    `json:"length_mm"`
	AreaMM2      float64    `json:"area_mm2"`    // of the prints placed
	WasteMM2     float64    `json:"waste_mm2"`   // the paper used, less AreaMM2
	WasteShare   float64    `json:"waste_share"` // WasteMM2 as a share of the paper used, 0 to 1
	LowerBoundMM float64    `json:"lower_bound_mm"`
}

// A Run is one length of paper. Pieces are in the order they come off the printer.
type Run struct {
	WidthMM  float64 `json:"width_mm"`
	LengthMM float64 `json:"length_mm"`
	Pieces   []Piece `json:"pieces"`
	Cuts     []Cut   `json:"cuts"`  // in order; they separate the prints
	Trims    int     `json:"trims"` // sides still to be trimmed to a print's edge after the cuts
}

// A Piece is a placed print. Width and Height are as it lies on the roll.
type Piece struct {
	ID     string  `json:"id"`
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
	Width  float64 `json:"width_mm"`
	Height float64 `json:"height_mm"`
	Turned bool    `json:"turned"`
}

// Directions of a [Cut].
const (
	Across = "across" // the roll, parallel to its leading edge
	Along  = "along"  // the roll, parallel to its sides
)

// A Cut goes from edge to edge of the part it cuts: the line at AtMM (of Y when across, of
// X when along) from FromMM to ToMM. MeasureMM is the distance from the part's own leading
// or left edge, to which a trimmer's ruler is set.
type Cut struct {
	Number    int     `json:"number"` // from 1
	Direction string  `json:"direction"`
	AtMM      float64 `json:"at_mm"`
	FromMM    float64 `json:"from_mm"`
	ToMM      float64 `json:"to_mm"`
	MeasureMM float64 `json:"measure_mm"`
}

// Unplaced is a print for which the roll has no room, with the reason.
type Unplaced struct {
	ID       string `json:"id"`
	Sentence string `json:"sentence"`
}
