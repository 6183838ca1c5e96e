package colour

import (
	"bytes"
	"slices"
	"strings"
	"testing"
)

// A profile's description is untrusted text.
func TestADescriptionIsOneLineThatSteersNothing(t *testing.T) {
	s := SRGB
	s.Name = "paper\x1b[2J\nerror: lost"
	p, err := ParseProfile(s.Profile())
	if err != nil {
		t.Fatal(err)
	}
	if want := `paper\x1b[2J\nerror: lost`; p.Name != want {
		t.Errorf("the profile is called %q, want %q", p.Name, want)
	}
}

// What a library says of a file is for programmers. A printmaker hears what is wrong with
// the profile.
func TestWhatTheICCReaderSaysReachesNobody(t *testing.T) {
	changed := func(at int, text string) []byte {
		b := slices.Clone(SRGBProfile())
		copy(b[at:], text)
		return b
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"six inks", changed(16, "6CLR"), `it is for "6CLR" values, not grey, RGB or CMYK`},
		{"bytes that are no name", changed(16, "\x00\x1b[m"), "not grey, RGB or CMYK"},
		{"an unknown connection", changed(20, "Luv "), `it connects to "Luv" values, not XYZ or Lab`},
		{"no curves", changed(132, "xxxx"), ""},
		{"no curve for red", bytes.ReplaceAll(SRGBProfile(), []byte("rTRC"), []byte("rTRX")), "the curves or tables of its colours are missing"},
	} {
		_, err := ParseProfile(c.data)
		if c.want == "" && err == nil {
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: told %v, want %s", c.name, err, c.want)
			continue
		}
		for _, raw := range []string{"tag too short", "failed to", "transformer", "runtime error", "\x1b", "unsupported"} {
			if strings.Contains(err.Error(), raw) {
				t.Errorf("%s: told %v", c.name, err)
			}
		}
	}
}
