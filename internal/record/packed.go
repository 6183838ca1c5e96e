package record

import (
	"slices"

	"sizewright/internal/sheet"
)

// Packed is where one copy of a print lies in the file of a packed run.
type Packed struct {
	Number int             `json:"number,omitempty"` // of its edition; 0 without one
	File   string          `json:"file"`             // from the studio's root
	Place  sheet.PixelRect `json:"place"`            // in that file, px
	Turned bool            `json:"turned"`           // by a quarter, clockwise
}

// Pack returns a record's file that says where its copies lie, nil if it does already. All
// else in it stays as it is.
func (r *Record) Pack(data []byte, places []Packed) ([]byte, error) {
	if slices.Equal(r.Packed, places) {
		return nil, nil
	}
	r.Packed = places
	return with(data, "packed", places)
}
