package order

import (
	"testing"

	"sizewright/internal/photo"
)

// A caption names the picture's title and who made it, as the file says; a picture without a
// title has its file's name.
func TestACaptionNamesTitleAndArtist(t *testing.T) {
	var o Order
	o.Caption.Name, o.Settings.Caption = "marsh-3", "{title}, {artist}"
	for want, info := range map[string]*photo.Info{
		"Ebb, A Printmaker": {Words: photo.Words{Title: "Ebb", Creators: []string{"A Printmaker"}}},
		"marsh-3, ":         {},
	} {
		if got := (&Plan{info: info}).captionText(o, 0); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
