package order

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

// OpenProfile opens an output profile by its path as a configuration has it:
// from the studio's root, unless it is absolute. The error names the profile and
// what is wrong with it.
func OpenProfile(path, root string) (*colour.Profile, error) {
	if !filepath.IsAbs(path) {
		path = filepath.Join(root, path)
	}
	return colour.OpenDestination(path)
}

// NewOutput is what the settings of a drop folder ask; its error is that of
// [OpenProfile].
func NewOutput(s config.Settings, root string) (o Output, err error) {
	o = Output{Intent: colour.Intent(s.Intent), BlackPoint: s.BlackPointCompensation}
	switch {
	case s.Profile != "":
		o.Kind = ToStock
		o.Profile, err = OpenProfile(s.Profile, root)
	case s.WorkingSpace != "":
		o.Kind = ToWorkingSpace
		o.Profile, err = colour.WorkingSpace(s.WorkingSpace)
	default:
		return Output{}, nil
	}
	return o, err
}
