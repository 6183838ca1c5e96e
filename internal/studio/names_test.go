package studio

import (
	"strings"
	"testing"
	"unicode/utf8"

	"sizewright/internal/filename"
)

func TestNumberedNames(t *testing.T) {
	a, e := strings.Repeat, "é" // two bytes in UTF-8
	for _, c := range []struct {
		name string
		n    int
		want string
	}{
		{"marsh.jpg", 1, "marsh.jpg"},
		{"marsh.jpg", 2, "marsh-2.jpg"},
		{"salt marsh, dawn.tiff", 12, "salt marsh, dawn-12.tiff"},
		{"marsh", 2, "marsh-2"},
		{".jpg", 2, ".jpg-2"},
		{"marsh.a long sentence after a dot", 2, "marsh.a long sentence after a dot-2"},
		{"-rf.jpg", 2, "-rf-2.jpg"},
		{a("m", 251) + ".jpg", 1, a("m", 251) + ".jpg"},
		{a("m", 251) + ".jpg", 2, a("m", 249) + "-2.jpg"},
		{a(e, 125) + "m.jpg", 2, a(e, 124) + "-2.jpg"}, // 249 bytes are 124 and a half characters
		{"\xff\xfe.jpg", 2, "\xff\xfe-2.jpg"},
		{a("\x80", 251) + ".jpg", 2, a("\x80", 249) + "-2.jpg"},
	} {
		if got := numberedName(c.name, c.n); got != c.want {
			t.Errorf("numberedName(%q, %d) = %q, want %q", c.name, c.n, got, c.want)
		}
	}
}

func TestMadeFilesHaveNamesThatUpsetNothing(t *testing.T) {
	for stem, want := range map[string]string{
		"salt marsh, dawn": "salt marsh, dawn",
		"Hochmoor grün":    "Hochmoor grün",
		"-rf":              "_rf",
		"":                 "print",
		"a\nb\tc\x7f":      "a_b_c_",
		"a\u0085b\u2028c":  "a_b_c",
		"a/b":              "a_b",
		"mar\xffsh":        "mar_sh",
		"con":              "con_",
		"nul.tar":          "nul_.tar",
		"a:b*c?":           "a_b_c_",
		"marsh.":           "marsh_",
	} {
		if got := cleanStem(stem); got != want {
			t.Errorf("cleanStem(%q) = %q, want %q", stem, got, want)
		}
	}
}

func FuzzEveryNameFitsADirectory(f *testing.F) {
	for _, stem := range []string{"marsh", "..", "", "a/b", strings.Repeat("é", 300), strings.Repeat("\xff", 300), "a\x00b"} {
		f.Add(stem, 1)
		f.Add(stem, 99)
	}
	f.Fuzz(func(t *testing.T, stem string, n int) {
		const suffix = ".preview.jpg"
		n = max(1, min(n, maxNumber))
		made := numberedStem(cleanStem(stem), n, len(suffix)) + suffix
		if err := checkName(made); err != nil || !utf8.ValidString(made) {
			t.Errorf("made file %q: %v", made, err)
		}
		if checkName(stem) != nil {
			return
		}
		original := numberedName(filename.Safe(stem), n)
		if err := checkName(original); err != nil {
			t.Errorf("original %q: %v", original, err)
		}
		if err := checkName(besideStem(original, len(suffix)) + suffix); err != nil {
			t.Errorf("beside %q: %v", original, err)
		}
	})
}
