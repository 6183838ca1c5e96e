// Package surface is the one table of papers' surfaces. A new surface is one line here:
// the configuration takes its name, and plans take its strength.
package surface

import "slices"

// Surface is a sort of paper, by what it does to an edge.
type Surface struct {
	Name string
	// Strength is the amount of output sharpening: the more ink spreads and texture
	// scatters, the more (house practice). It is above 0.
	Strength float64
}

// All are the surfaces, from the one that asks for least.
var All = []Surface{
	{"glossy", 0.45},
	{"lustre", 0.55},
	{"matte", 0.8},
	{"canvas", 0.9},
}

// Default is the surface of a stock that names none.
const Default = "lustre"

// Names are the names of all surfaces.
func Names() []string {
	names := make([]string, len(All))
	for i, s := range All {
		names[i] = s.Name
	}
	return names
}

// Named is the surface of this name; ok is false where there is none.
func Named(name string) (s Surface, ok bool) {
	if i := slices.Index(Names(), name); i >= 0 {
		return All[i], true
	}
	return s, false
}
