package render

import (
	"path/filepath"

	"sizewright/internal/colour"
	"sizewright/internal/config"
)

// Output is what a stock does with colours: the profile of the paper, or a
// working space all prints are brought to. The zero Output keeps each picture's
// own profile.
type Output struct {
	Profile    *colour.Profile
	Kind       string // "stock profile" or "working space"
	Intent     colour.Intent
	BlackPoint bool
}

// The kinds of Output, as a plan's conversion names them.
const (
	ToStock        = "stock profile"
	ToWorkingSpace = "working space"
)

// NewOutput is what the settings of a drop folder ask. A profile's path is
// taken from the studio's root, unless it is absolute. The error names the
// profile and what is wrong with it.
func NewOutput(s config.Settings, root string) (o Output, err error) {
	o = Output{Intent: colour.Intent(s.Intent), BlackPoint: s.BlackPointCompensation}
	switch {
	case s.Profile != "":
		path := s.Profile
		if !filepath.IsAbs(path) {
			path = filepath.Join(root, path)
		}
		o.Kind = ToStock
		o.Profile, err = colour.OpenDestination(path)
	case s.WorkingSpace != "":
		o.Kind = ToWorkingSpace
		o.Profile, err = colour.WorkingSpace(s.WorkingSpace)
	default:
		return Output{}, nil
	}
	return o, err
}
