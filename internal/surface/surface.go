// Package surface holds the table of paper surfaces. To add a surface, add a line to
// [All]: the configuration accepts its name, and plans use its sharpening strength.
package surface

import "slices"

// Surface is a kind of paper surface.
type Surface struct {
	Name string
	// Strength is the amount of output sharpening, above 0. Surfaces on which ink
	// spreads more, or whose texture scatters more light, need more (house judgement).
	Strength float64
}

// All lists the surfaces, in ascending order of strength.
var All = []Surface{
	{"glossy", 0.45},
	{"lustre", 0.55},
	{"matte", 0.8},
	{"canvas", 0.9},
}

// Default is the surface of a stock that names none.
const Default = "lustre"

// Names returns the names of all surfaces.
func Names() []string {
	names := make([]string, len(All))
	for i, s := range All {
		names[i] = s.Name
	}
	return names
}

// Named returns the surface with this name; ok is false if there is none.
func Named(name string) (s Surface, ok bool) {
	if i := slices.Index(Names(), name); i >= 0 {
		return All[i], true
	}
	return s, false
}
