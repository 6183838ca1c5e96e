package sheet

// Kind is the form in which paper comes.
type Kind string

const (
	CutSheet Kind = "sheet"
	Roll     Kind = "roll"
)

// Side is one of the four sides of paper as fed.
type Side string

const (
	Left     Side = "left"
	Right    Side = "right"
	Leading  Side = "leading"
	Trailing Side = "trailing"
)

// Margins are the widths that a printer cannot print along each side, in millimetres.
type Margins struct {
	LeftMM     float64 `json:"left_mm"`
	RightMM    float64 `json:"right_mm"`
	LeadingMM  float64 `json:"leading_mm"`
	TrailingMM float64 `json:"trailing_mm"`
}

// with adds a mode's own margin. A mode without a side adds nothing.
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

// A Mode is a named print mode that needs more margin on one side.
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
	MaxLengthMM float64         `json:"max_length_mm,omitempty"` // the printer's longest run; 0: no limit
	Thickness   string          `json:"thickness,omitempty"`     // free text
	Modes       map[string]Mode `json:"modes,omitempty"`
}

// UsualMargins returns 3 mm, and 14 mm at the trailing edge of a cut sheet (common
// practice, no source; a printer's manual gives its own).
func UsualMargins(k Kind) Margins {
	g := Margins{LeftMM: 3, RightMM: 3, LeadingMM: 3, TrailingMM: 3}
	if k == CutSheet {
		g.TrailingMM = 14
	}
	return g
}

// RollOf returns a roll with the usual margins and no longest run.
func RollOf(name string, widthMM float64) Media {
	return Media{Name: name, Kind: Roll, WidthMM: widthMM, Margins: UsualMargins(Roll)}
}
