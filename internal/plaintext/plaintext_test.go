package plaintext

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"
)

// Cases of the Unicode Standard 15, chapter 23 (special areas and format characters),
// and of UAX #9, table 1 and 2 (every direction control).
var shown = []struct{ text, want, json string }{
	{"salt marsh, dawn.jpg", "salt marsh, dawn.jpg", ""},
	{"Hochmoor grün – 3° «näher».tif", "Hochmoor grün – 3° «näher».tif", ""},
	{"مستنقع.jpg", "مستنقع.jpg", ""}, // letters from right to left are text
	{"\U0001F426\uFE0F.jpg", "\U0001F426\uFE0F.jpg", ""},
	{"at 9.41\u202fAM\u00a0x\u3000y", "at 9.41\u202fAM\u00a0x\u3000y", ""}, // spaces are visible
	{"back\\slash", `back\slash`, ""},
	{"\x1b[31mred\x1b]0;title\a", `\x1b[31mred\x1b]0;title\a`, `\u001b[31mred\u001b]0;title\u0007`},
	{"two\nlines\r\tand a tab", `two\nlines\r\tand a tab`, ""},
	{"nul\x00 del\x7f", `nul\x00 del\x7f`, `nul\u0000 del\u007f`},
	{"C1 \u009b31m \u0085", `C1 \u009b31m \u0085`, `C1 \u009b31m \u0085`},
	{"\u202a\u202b\u202c\u202d\u202e", `\u202a\u202b\u202c\u202d\u202e`, `\u202a\u202b\u202c\u202d\u202e`},
	{"\u2066\u2067\u2068\u2069\u200e\u200f\u061c", `\u2066\u2067\u2068\u2069\u200e\u200f\u061c`, `\u2066\u2067\u2068\u2069\u200e\u200f\u061c`},
	{"a\u2028b\u2029c", `a\u2028b\u2029c`, `a\u2028b\u2029c`},
	{"\u200b\u200c\u200d\u2060\ufeff\u00ad", `\u200b\u200c\u200d\u2060\ufeff\u00ad`, `\u200b\u200c\u200d\u2060\ufeff\u00ad`},
	{"tag \U000E0041\U000E007F", `tag \U000e0041\U000e007f`, `tag \udb40\udc41\udb40\udc7f`},
	{"fill \u3164\uffa0\u115f", `fill \u3164\uffa0\u115f`, `fill \u3164\uffa0\u115f`},
	{"private \ue000\U0010fffd none \u0378\uffff", `private \ue000\U0010fffd none \u0378\uffff`, `private \ue000\udbff\udffd none \u0378\uffff`},
	{"mar\xe9e \xff\xc3", `mar\xe9e \xff\xc3`, ""},
	{"\ufffd", "\ufffd", ""},
}

func TestWhatIsObeyedAndNotReadIsShown(t *testing.T) {
	for _, c := range shown {
		got := Line(c.text)
		if got != c.want {
			t.Errorf("%q is shown as %s, want %s", c.text, got, c.want)
		}
		if Line(got) != got {
			t.Errorf("%q changes when it is made safe again", got)
		}
	}
}

func TestEveryCharacterThatIsShownIsSafe(t *testing.T) {
	for r := rune(0); r <= utf8.MaxRune; r++ {
		for _, c := range Line(string(r)) {
			if !Safe(c) {
				t.Fatalf("%U leaves %U", r, c)
			}
		}
	}
}

// RFC 8259, section 7: any character may be escaped, and reads the same.
func TestJSONReadsTheSameAndShowsNothingUnsafe(t *testing.T) {
	for _, c := range shown {
		plain, err := json.MarshalIndent(map[string]string{"name": c.text}, "", "\t")
		if err != nil {
			t.Fatal(err)
		}
		safe := JSON(plain)
		var was, is map[string]string
		if err := errors.Join(json.Unmarshal(plain, &was), json.Unmarshal(safe, &is)); err != nil || was["name"] != is["name"] {
			t.Errorf("%q reads as %q, %v", was["name"], is["name"], err)
		}
		if c.json != "" && !bytes.Contains(safe, []byte(c.json)) {
			t.Errorf("%q is %s, want %s in it", c.text, safe, c.json)
		}
		if at := firstUnsafe(string(safe), "\n\t"); at >= 0 {
			t.Errorf("%q has unsafe %q at %d", c.text, safe, at)
		}
		var b bytes.Buffer
		fmt.Fprintf(JSONWriter(&b), "%s\n", plain)
		if b.String() != string(safe)+"\n" {
			t.Errorf("the writer says %q, not %q", b.String(), safe)
		}
	}
}

func TestAWriterLeavesLinesAndNothingElse(t *testing.T) {
	var b bytes.Buffer
	n, err := Writer(&b).Write([]byte("one\n\x1b[2Jtwo\u202e\n"))
	if want := "one\n" + `\x1b[2Jtwo\u202e` + "\n"; b.String() != want || n != len("one\n\x1b[2Jtwo\u202e\n") || err != nil {
		t.Errorf("%q, %d, %v", b.String(), n, err)
	}
}

type name string

func TestWhatIsSetIntoALineStaysInIt(t *testing.T) {
	var b bytes.Buffer
	Fprintf(&b, "%s / %v: %d, %v, %.1f\n", name("a\nb"), errors.Join(errors.New("c\nd"), errors.New("e")), 3, nil, 2.5)
	if want := `a\nb / c\nd; e: 3, <nil>, 2.5` + "\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}

func TestAnErrorThatIsSeveralHasALineForEach(t *testing.T) {
	several := errors.Join(errors.New("first"), errors.Join(errors.New("sec\nond"), errors.New("third")))
	if got, want := Lines(several), "first\n"+`sec\nond`+"\nthird"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	about := fmt.Errorf("of %w and %w", errors.New("one\n"), errors.New("two"))
	if got, want := Lines(about), `of one\n and two`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func FuzzWhateverComesIsShownInOneLine(f *testing.F) {
	for _, c := range shown {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got := Line(text)
		if firstUnsafe(got, "") >= 0 || strings.Contains(got, "\n") || Line(got) != got {
			t.Errorf("%q is shown as %q", text, got)
		}
		plain, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		var was, is string
		if json.Unmarshal(plain, &was) != nil || json.Unmarshal(JSON(plain), &is) != nil || was != is {
			t.Errorf("%q reads as %q in JSON", was, is)
		}
	})
}
