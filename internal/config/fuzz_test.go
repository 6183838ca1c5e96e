package config

import (
	"bytes"
	"errors"
	"testing"

	"sizewright/configs"
)

// Whatever the file holds, it is refused with problems that lie in it, or it
// gives settings within their limits for every folder and stock it speaks of.
func FuzzParse(f *testing.F) {
	for _, text := range []string{
		string(configs.SizewrightTOML), layered, "\ufeffworkers = 1\r\n", "[[stock]]\na=1\n[stock.b]\nppi = 1",
		"print = {ppi = 300, bits = [{a = 1}]}", "a = '''\n", "[print\nppi=1\n[print]\n", "stock.\"\".ppi.x = 1",
		"[folder.24x36in canvas]\n", "a.b=1\n[a]\n[a.b]\n", "= 1\n\x00\n\xff", "workers = 1979-05-27T07:32:00Z",
		"workers = 3\n[stock.a]\nborder = 'even'\nbleed = 'mirror'\n[folder.'A4@300 b']\nppi = 72\ncaption = '{x}'",
		"[limits]\nmax_megapixels = 50\nmax_decode_time = '1m'", "print.profile = 'a.icc'\nstock.rag.working_space = 'a98'\nfolder.A4.intent = 'absolute'",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		before := bytes.Clone(text)
		c, err := Parse("sizewright.toml", text)
		if !bytes.Equal(text, before) {
			t.Fatal("the text was changed")
		}
		if err != nil {
			lieWithin(t, text, err)
			return
		}
		for _, named := range c.FilesNamed() {
			lieWithin(t, text, Problems{named.Problem("sizewright.toml", "it is missing")})
		}
		if len(c.Warnings) > 0 {
			lieWithin(t, text, c.Warnings)
		}
		withinLimits(t, c.Settings("", ""))
		for _, folder := range c.folderNames() {
			withinLimits(t, c.Settings(folder, ""))
			for _, stock := range c.Stocks() {
				withinLimits(t, c.Settings(folder, stock))
			}
		}
	})
}

func lieWithin(t *testing.T, text []byte, err error) {
	t.Helper()
	var problems Problems
	if !errors.As(err, &problems) || len(problems) == 0 {
		t.Fatalf("%v is no Problems", err)
	}
	lines := bytes.Split(text, []byte("\n"))
	for _, p := range problems {
		if p.Text == "" || p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > len(lines[p.Line-1])+1 {
			t.Fatalf("%+v is not in %q", p, text)
		}
	}
}

// withinLimits reads the settings again, written as a file would.
func withinLimits(t *testing.T, s Settings) {
	t.Helper()
	text := "[print]\n"
	for _, k := range printKeys {
		text += k.name + " = " + k.show(&s) + "\n"
	}
	c, err := Parse("again.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if c.Print != s {
		t.Fatalf("%+v is read again as %+v", s, c.Print)
	}
}
