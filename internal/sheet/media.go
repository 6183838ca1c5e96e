package sheet

import "sizewright/internal/printsize"

// Kind is how paper comes.
type Kind string

const (
	CutSheet Kind = "sheet"
	Roll     Kind = "roll"
)

// Side is one of a paper's four sides as it is fed.
type Side string

const (
	Left     Side = "left"
	Right    Side = "right"
	Leading  Side = "leading"
	Trailing Side = "trailing"
)

// Margins are what a printer cannot print along each side, in millimetres.
type Margins struct {
	LeftMM     float64 `json:"left_mm"`
	RightMM    float64 `json:"right_mm"`
	LeadingMM  float64 `json:"leading_mm"`
	TrailingMM float64 `json:"trailing_mm"`
}

// with adds a mode's own margin. An empty side adds nothing.
func (g Margins) with(m Mode) Margins {
	switch m.Side {
	case Left:
		g.LeftMM += m.ExtraMM
	case Right:
		g.RightMM += m.ExtraMM
	case Leading:
		g.LeadingMM += m.ExtraMM
	case Trailing:
		g.TrailingMM += m.ExtraMM
	}
	return g
}

// A Mode is what a named print mode takes besides the margins, on one side.
type Mode struct {
	Side    Side    `json:"side"`
	ExtraMM float64 `json:"extra_mm"`
}

// Media is a paper as the printer takes it.
type Media struct {
	Name        string          `json:"name"`
	Kind        Kind            `json:"kind"`
	WidthMM     float64         `json:"width_mm"`            // across the feed
	LengthMM    float64         `json:"length_mm,omitempty"` // along it; 0 for a roll
	Margins     Margins         `json:"margins"`
	MaxLengthMM float64         `json:"max_length_mm,omitempty"` // the printer's longest run; 0 is no limit
	Thickness   string          `json:"thickness,omitempty"`     // free text
	Modes       map[string]Mode `json:"modes,omitempty"`
}

// UsualMargins are 3 mm, and 14 at the trailing edge of a cut sheet. Common practice,
// no source: a printer's manual has its own.
func UsualMargins(k Kind) Margins {
	g := Margins{LeftMM: 3, RightMM: 3, LeadingMM: 3, TrailingMM: 3}
	if k == CutSheet {
		g.TrailingMM = 14
	}
	return g
}

// SheetOf is a cut sheet of a size, fed short side first, with the usual margins.
func SheetOf(s printsize.Size) Media {
	return Media{
		Name: s.Name, Kind: CutSheet, WidthMM: s.ShortMM(), LengthMM: s.LongMM(),
		Margins: UsualMargins(CutSheet),
	}
}

// Sheets are cut sheets of the sizes that prints are usually made at, ISO and inch,
// ascending by area. The slice is the caller's own.
func Sheets() []Media {
	var all []Media
	for _, s := range printsize.Known() {
		all = append(all, SheetOf(s))
	}
	return all
}

// RollOf is a roll with the usual margins and no longest run.
func RollOf(name string, widthMM float64) Media {
	return Media{Name: name, Kind: Roll, WidthMM: widthMM, Margins: UsualMargins(Roll)}
}
