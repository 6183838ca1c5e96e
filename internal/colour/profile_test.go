package colour

import "testing"

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
