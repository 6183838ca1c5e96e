package report

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/photo"
)

// mixed is a night of n pictures, a third of them held, at sizes from a card to 40x60 in.
func (s *studioDir) mixed(n int) *Night {
	s.Helper()
	night := nightOf()
	folders := []string{"A3 lustre", "A4", "40x60in", "A2 lustre", "24x36in", "A5", "A4", "30x90cm", "A3 lustre", "50x70cm", "A6", "A2 lustre"}
	for i := range n {
		name, folder := fmt.Sprintf("marsh-%03d.jpg", i+1), folders[i%len(folders)]
		switch {
		case i%6 == 2:
			night.Records = append(night.Records, s.TooSmall("40x60in", name))
		case i%6 == 4:
			night.Records = append(night.Records, s.TooSmall("A2", name))
		case i%9 == 5:
			night.Records = append(night.Records, s.Made(folder, name, photo.Caution{Code: "no-profile", Text: "no profile is embedded: sRGB was assumed"}))
		default:
			night.Records = append(night.Records, s.Made(folder, name))
		}
	}
	return night
}

// TestLookAtNights keeps pictures of nights of several sizes in the folder that
// MORNING_SHOTS names, for somebody to look at.
func TestLookAtNights(t *testing.T) {
	if os.Getenv("MORNING_SHOTS") == "" {
		t.Skip("MORNING_SHOTS names no folder")
	}
	b := newBrowser(t)
	for _, n := range []int{1, 9, 36, 200} {
		s := newStudio(t)
		file := filepath.Join(s.Root, "outbox/morning/look.html")
		s.Put("outbox/morning/look.html", []byte(s.page(s.mixed(n))))
		for _, look := range []struct {
			name, scheme, media string
			width, height       int
		}{{"light", "light", "screen", 1400, 900}, {"dark", "dark", "screen", 1400, 900}, {"phone", "light", "screen", 390, 844}, {"print", "light", "print", 794, 1123}} {
			b.screen(look.width, look.height, look.scheme, look.media)
			b.visit(file)
			b.eval(eager, nil)
			b.shot(fmt.Sprintf("night-%d-%s", n, look.name))
		}
	}
}
