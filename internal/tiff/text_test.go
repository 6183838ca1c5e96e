package tiff

import "testing"

func TestTextIsFitForATag(t *testing.T) {
	for in, want := range map[string]string{
		"Salt marsh":                   "Salt marsh",
		"  PADDED BY A CAMERA \x00":    "PADDED BY A CAMERA",
		"ends\x00hidden":               `ends\x00hidden`,
		"two\nlines\ttab":              "two lines tab",
		"bell\x07 and \u0085 gone\x7f": `bell\a and \u0085 gone\x7f`,
		"© Ólína Sjóbær, 2026":         "© Ólína Sjóbær, 2026",
		"\xa9 Latin-1":                 `\xa9 Latin-1`,
		"\x00 \n":                      "",
	} {
		if got := cleanText(in); got != want {
			t.Errorf("cleanText(%q) = %q, want %q", in, got, want)
		}
	}
}
