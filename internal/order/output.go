package order

import (
	"path/filepath"

	"sizewright/internal/caption"
	"sizewright/internal/colour"
	"sizewright/internal/config"
)

// Output is what a stock does with colours: it converts to the paper's profile, or to a
// working space for all prints. The zero Output keeps each picture's own profile.
type Output struct {
	Profile    *colour.Profile
	Kind       string // "stock profile" or "working space"
	Intent     colour.Intent
	BlackPoint bool
}

// The kinds of Output, as a plan names its conversion.
const (
	ToStock        = "stock profile"
	ToWorkingSpace = "working space"
)

// OpenProfile opens an output profile. A relative path starts at the studio's root. The
// error names the profile and what is wrong with it.
func OpenProfile(path, root string) (*colour.Profile, error) {
	return colour.OpenDestination(from(root, path))
}

// OpenFont opens the font of captions in the same way.
func OpenFont(path, root string) (*caption.Face, error) { return caption.Open(from(root, path)) }

func from(root, path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(root, path)
}

// NewOutput returns the output for the settings of a drop folder. The error is that of
// [OpenProfile].
func NewOutput(s config.Settings, root string) (o Output, err error) {
	o = Output{Intent: s.Intent, BlackPoint: s.BlackPointCompensation}
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
