package printsize

import (
	"strings"
	"testing"
)

func TestWordsAtTheEndSayWhereToCrop(t *testing.T) {
	for name, want := range map[string]struct{ stock, crop, canonical string }{
		"A2 top":                 {"", "top", "A2 top"},
		"A2 Lustre Top":          {"lustre", "top", "A2 lustre top"},
		"A2 lustre - bottom":     {"lustre", "bottom", "A2 lustre bottom"},
		"A2 top-left":            {"", "top left", "A2 top left"},
		"A2 lustre top right x3": {"lustre", "top right", "A2 lustre top right x3"},
		"A2 x3 left":             {"", "left", "A2 left x3"},
		"A2 center":              {"", "centre", "A2 centre"},
		"A2 auto":                {"", "auto", "A2 auto"},
		"24x36in@300 rag auto":   {"rag", "auto", "24x36in@300 rag auto"},
		"A3+top":                 {"", "top", "A3+ top"},
		`24x36" top`:             {"", "top", "24x36in top"},

		// No crop: the word is not alone, or not at the end.
		"A2 left bank":  {"left bank", "", "A2 left bank"},
		"A2 laptop":     {"laptop", "", "A2 laptop"},
		"A2 top lustre": {"top lustre", "", "A2 top lustre"},
	} {
		f, err := ParseFolder(name)
		if err != nil || f.Stock != want.stock || f.Crop != want.crop || f.Name() != want.canonical {
			t.Errorf("%q is %+v, named %q (%v), want %+v", name, f, f.Name(), err, want)
		}
	}
	for name, says := range map[string]string{
		"70cm top":       "70cm is the long side alone, which has no shape to crop to",
		"A2 left top":    "says twice where to crop",
		"A2 left right":  "says twice where to crop",
		"24x36 rag left": "24x36in rag left",
	} {
		if _, err := ParseFolder(name); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want it to say %q", name, err, says)
		}
	}
}
