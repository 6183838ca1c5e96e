package daemon

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"sizewright/internal/filename"
)

// Whatever a file is called, its print, record, page and original stay inside the studio,
// under names that can be read, typed and opened over a share; the original keeps its own
// where that is one, and the record has the true one to the byte.
func TestOddNamesMakePrintsOfDistinctReadableNames(t *testing.T) {
	s, o := newStudio(t, "20x30mm", quick)
	names := []string{
		"-rf.jpg", "new\nline.jpg", "tab\there.jpg", "\x1b[31mred.jpg", "not utf-8 \xff\xfe.jpg", " .jpg", "trailing dot..jpg",
		"marsh.jpg", "Marsh.jpg", "MARSH.JPG", "marsh.jpeg", "marsh", "caf\u00e9.jpg", "cafe\u0301.jpg", "$(reboot).jpg", "a;b|c&d.jpg", "`id`.jpg",
		"CON.jpg", "con_.jpg", "nul.tar.gz.jpg", "lpt\u00b3", "a:b*c?.jpg", "a_b_c_.jpg", "dot.", "dot_", "space ", "\u202egpj.exe.jpg", strings.Repeat("long ", 50) + "x.jpg", strings.Repeat("\u00e9", 125) + ".jpg",
	}
	for i, name := range names {
		drop(t, s, "20x30mm", name, jpegOf(t, 150+2*i, 100))
	}
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Night.Records) != len(names) || len(result.Night.Faults) != 0 {
		t.Fatalf("%d records of %d names; faults %v; left alone %v", len(result.Night.Records), len(names), result.Night.Faults, result.Night.Left)
	}
	originals := map[string]bool{}
	for _, e := range must(os.ReadDir(filepath.Join(s.Originals(), "20x30mm"))) {
		originals[e.Name()] = true
	}
	for _, name := range names {
		clash := false // one of them keeps it, others get a number
		for _, x := range []string{"marsh.jpg", "caf\u00e9.jpg", "con_.jpg", "a_b_c_.jpg", "dot_"} {
			clash = clash || filename.Fold(filename.Safe(name)) == filename.Fold(x)
		}
		if !originals[filename.Safe(name)] && !clash {
			t.Errorf("the original %q has not kept its name as far as it can be opened", name)
		}
	}
	for name := range originals {
		if filename.Safe(name) != name {
			t.Errorf("the original %q cannot be opened everywhere", name)
		}
	}
	if len(originals) != len(names) {
		t.Errorf("%d originals of %d", len(originals), len(names))
	}
	seen := map[string]string{}
	told := map[string]bool{}
	for _, e := range result.Night.Records {
		file := e.Record.Print.File
		if _, err := os.Lstat(filepath.Join(s.Outbox(), "20x30mm", file)); err != nil {
			t.Errorf("the print of %q: %v", e.Record.Source.Name, err)
		}
		if before, taken := seen[strings.ToLower(file)]; taken {
			t.Errorf("%q and %q are told apart by letter case alone", file, before)
		}
		seen[strings.ToLower(file)] = file
		if !utf8.ValidString(file) || strings.ContainsAny(file, "\n\t\x1b/\u202e") || strings.HasPrefix(file, ".") || strings.HasPrefix(file, "-") {
			t.Errorf("the print of %q is called %q", e.Record.Source.Name, file)
		}
		r := readRecord(t, s, e.Path)
		told[r.Source.Name] = true
		if _, err := os.Lstat(filepath.Join(s.Root(), r.Source.Original)); err != nil {
			t.Errorf("the record of %q does not lead to its original: %v", r.Source.Name, err)
		}
		if filename.Safe(file) != file {
			t.Errorf("the print of %q cannot be opened everywhere: %q", r.Source.Name, file)
		}
	}
	for _, name := range names {
		if !told[name] {
			t.Errorf("no record has the true name %q", name)
		}
	}
	outside, err := filepath.Glob(filepath.Join(filepath.Dir(s.Root()), "*"))
	if err != nil || len(outside) != 1 {
		t.Errorf("beside the studio lie %v, %v", outside, err)
	}
}
