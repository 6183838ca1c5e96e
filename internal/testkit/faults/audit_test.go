//go:build linux

package faults

import (
	"cmp"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A studio after a good night: one print, one with a name that is not UTF-8, one dropped
// twice, one held.
func goodNight(t *testing.T) *Trial {
	t.Helper()
	n, err := NewTrial(filepath.Join(t.TempDir(), "night"), built, 3, 0, Settings{Print: "[folder.A6]\ntoo_small = \"hold\""})
	if err != nil {
		t.Fatal(err)
	}
	must(t, os.Mkdir(n.path("drop", "20x30mm"), 0o755)) // a small print is audited quickly
	r := rand.New(rand.NewPCG(3, 3))
	jpeg := forms[0]
	for _, d := range []struct {
		name string
		p    Picture
	}{
		{"heron.jpg", jpeg.of(scene(r, 420, 280), Made)},
		{"mar\xe9e.jpg", jpeg.of(scene(r, 420, 280), Made)},
		{"small.jpg", jpeg.of(scene(r, 6, 4), Held)},
	} {
		n.at("20x30mm", d.name, d.p, 1)
	}
	n.at("A6", "larger.jpg", jpeg.of(scene(r, 30, 20), Held), 1) // 5 ppi: held for its size
	n.at("20x30mm", "egret.jpg", jpeg.of(scene(r, 420, 280), Made), 2)
	if out, err := exec.Command(built, "once", "--studio", n.Studio()).CombinedOutput(); err != nil && !strings.Contains(err.Error(), "3") {
		t.Fatalf("once: %v\n%s", err, out)
	}
	if found := Audit(n.Studio(), &n.Ledger); len(found) > 0 {
		t.Fatalf("in a good night there was found:\n%s", found)
	}
	return n
}

// at drops a picture at once, that many times.
func (n *Trial) at(folder, name string, p Picture, copies int) {
	n.Ledger.Add(Order{Folder: folder, Name: name, Kind: p.Kind, SHA256: sum(p.Data), May: p.May, Copies: copies})
	for i := range copies {
		if err := (drop{n, folder, strings.Repeat("x", i) + name, p.Data}).write(n.path("drop", folder, strings.Repeat("x", i)+name)); err != nil {
			panic(err)
		}
	}
}

func TestTheAuditFindsEveryFault(t *testing.T) {
	n := goodNight(t)
	for _, c := range []struct {
		fault string
		do    func(s studio)
		kind  Kind
		says  string
	}{
		{"an original is gone", func(s studio) { s.remove("originals/20x30mm/heron.jpg") }, Lost, "heron.jpg"},
		{"one byte of an original is another", func(s studio) { s.flip("originals/20x30mm/heron.jpg", 100) }, Lost, "heron.jpg"},
		{"a held original is cut short", func(s studio) { s.cut("held/20x30mm/small.jpg") }, Lost, "small.jpg"},
		{"a record is gone", func(s studio) { s.remove("outbox/20x30mm/heron.json") }, Lost, "heron.jpg"},
		{"an original is in its drop folder too", func(s studio) { s.copy("originals/20x30mm/heron.jpg", "drop/20x30mm/heron-2.jpg") }, Doubled, "heron.jpg"},
		{"an original is in originals twice", func(s studio) { s.copy("originals/20x30mm/heron.jpg", "originals/20x30mm/heron-2.jpg") }, Doubled, "heron.jpg"},
		{"an order was made twice", func(s studio) { s.copy("outbox/20x30mm/heron.json", "outbox/20x30mm/heron-2.json") }, Doubled, "made 2 times"},
		{"an order was made and held", func(s studio) { s.heldToo("outbox/20x30mm/heron.json", "held/20x30mm/heron.json") }, Doubled, "more than one end: made or held"},
		{"a repeat is forgotten", func(s studio) { s.remove("outbox/20x30mm/egret-2.json", "outbox/20x30mm/xegret.json") }, Wrong, "recognised 0 times"},
		{"a print is cut short", func(s studio) { s.cut("outbox/20x30mm/heron.tif") }, HalfMade, "heron.tif"},
		{"a print is of its length and damaged", func(s studio) { s.zero("outbox/20x30mm/heron.tif") }, HalfMade, "not a complete TIFF"},
		{"a print is gone", func(s studio) { s.remove("outbox/20x30mm/heron.tif") }, HalfMade, "heron.tif"},
		{"a preview is cut short", func(s studio) { s.cut("outbox/20x30mm/heron.preview.jpg") }, HalfMade, "heron.preview.jpg"},
		{"a record is cut short", func(s studio) { s.cut("outbox/20x30mm/heron.json") }, HalfMade, "no whole record"},
		{"a print has no record", func(s studio) { s.copy("outbox/20x30mm/heron.tif", "outbox/20x30mm/stray.tif") }, HalfMade, "stray.tif"},
		{"a temporary file is in the outbox", func(s studio) { s.write("outbox/20x30mm/.heron.tmp", "x") }, HalfMade, ".heron.tmp"},
		{"a temporary file is in originals", func(s studio) { s.write("originals/20x30mm/heron.tmp", "x") }, HalfMade, "heron.tmp"},
		{"a stray file is in held", func(s studio) { s.write("held/20x30mm/x.txt", "x") }, HalfMade, "x.txt"},
		{"a claim was forgotten", func(s studio) { s.mkdir(".sizewright/claims/20260314T061200-0badcafe/original") }, HalfMade, "0badcafe"},
		{"a claim has an original", func(s studio) {
			s.mkdir(".sizewright/claims/c/original")
			s.move("originals/20x30mm/heron.jpg", ".sizewright/claims/c/original/heron.jpg")
		}, HalfMade, "forgotten"},
		{"a record knows another hash", func(s studio) { s.alter("outbox/20x30mm/heron.json", `"sha256": "`, `"sha256": "00`) }, Lost, "heron.jpg"},
		{"a record knows another place", func(s studio) {
			s.alter("outbox/20x30mm/heron.json", "originals/20x30mm/heron", "originals/20x30mm/haron")
		}, Wrong, "haron"},
		{"a record knows another size", func(s studio) { s.alter("outbox/20x30mm/heron.json", `"width_px": `, `"width_px": 1`) }, HalfMade, "its record says"},
		{"a reason is another than the record's", func(s studio) { s.write("held/20x30mm/small.jpg.txt", "Too big.\n") }, HalfMade, "small.jpg.txt"},
		{"a picture was held through the program's fault", func(s studio) {
			s.alter("held/20x30mm/small.jpg.json", `"reason_code": "`, `"reason_code": "internal", "was": "`)
		}, Wrong, "no fault of its own"},
		{"a report is cut short", func(s studio) { s.cut("outbox/morning/latest.html") }, HalfMade, "latest.html"},
	} {
		t.Run(c.fault, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "studio")
			copyAll(t, n.Studio(), dir)
			c.do(studio{t, dir})
			for _, f := range Audit(dir, &n.Ledger) {
				if f.Kind == c.kind && strings.Contains(f.Text, c.says) {
					return
				}
			}
			t.Errorf("not found; found:\n%s", Audit(dir, &n.Ledger))
		})
	}
}

func TestTheAuditKnowsWhatWasToBeLeftAlone(t *testing.T) {
	n := goodNight(t)
	n.at("20x30mm", "half.jpg", Picture{Kind: "half a JPEG", Data: []byte("\xff\xd8half"), May: Left}, 1)
	n.Ledger.AddClutter(Clutter{"drop/20x30mm/link", os.ModeSymlink})
	must(t, os.Symlink("nowhere", n.path("drop/20x30mm/link")))
	if found := Audit(n.Studio(), &n.Ledger); len(found) > 0 {
		t.Fatalf("left alone, and yet found:\n%s", found)
	}
	must(t, os.Remove(n.path("drop/20x30mm/link")))
	must(t, os.Rename(n.path("drop/20x30mm/half.jpg"), n.path("held/20x30mm/half.jpg")))
	if found := Audit(n.Studio(), &n.Ledger); found.Count(Lost) != 2 {
		t.Errorf("a link taken away and half a picture moved come to:\n%s", found)
	}
}

// studio is a studio to be damaged.
type studio struct {
	t   *testing.T
	dir string
}

// copyAll copies regular files and directories of any name, unlike os.CopyFS.
func copyAll(t *testing.T, from, to string) {
	t.Helper()
	must(t, filepath.WalkDir(from, func(p string, e fs.DirEntry, err error) error {
		target := to + strings.TrimPrefix(p, from)
		if err != nil || e.IsDir() {
			return cmp.Or(err, os.MkdirAll(target, 0o755))
		}
		data, err := os.ReadFile(p)
		return cmp.Or(err, os.WriteFile(target, data, 0o644))
	}))
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func (s studio) path(rel string) string { return filepath.Join(s.dir, rel) }

func (s studio) read(rel string) []byte {
	data, err := os.ReadFile(s.path(rel))
	must(s.t, err)
	return data
}

func (s studio) write(rel, text string) { must(s.t, os.WriteFile(s.path(rel), []byte(text), 0o644)) }
func (s studio) copy(from, to string)   { s.write(to, string(s.read(from))) }
func (s studio) move(from, to string)   { must(s.t, os.Rename(s.path(from), s.path(to))) }
func (s studio) mkdir(rel string)       { must(s.t, os.MkdirAll(s.path(rel), 0o755)) }
func (s studio) cut(rel string)         { data := s.read(rel); s.write(rel, string(data[:len(data)/2])) }

// remove removes the files that exist; exactly one must.
func (s studio) remove(rels ...string) {
	removed := 0
	for _, rel := range rels {
		if os.Remove(s.path(rel)) == nil {
			removed++
		}
	}
	if removed != 1 {
		s.t.Fatalf("%d of %q were there", removed, rels)
	}
}

func (s studio) flip(rel string, at int) {
	data := s.read(rel)
	data[at] ^= 1
	s.write(rel, string(data))
}

// zero overwrites the middle with zeros, as after a disk failure.
func (s studio) zero(rel string) {
	data := s.read(rel)
	clear(data[len(data)/4 : len(data)/2])
	s.write(rel, string(data))
}

func (s studio) alter(rel, from, to string) {
	text := string(s.read(rel))
	if !strings.Contains(text, from) {
		s.t.Fatalf("%s does not say %s", rel, from)
	}
	s.write(rel, strings.Replace(text, from, to, 1))
}

// heldToo turns a print's record into one of a hold.
func (s studio) heldToo(from, to string) {
	s.copy(from, to)
	s.alter(to, `"status": "ready`, `"status": "held", "was": "ready`)
	s.alter(to, `"print": {`, `"reason": "Too late.", "was made": {`)
	s.write(strings.TrimSuffix(to, ".json")+".txt", "Too late.\n")
}
