//go:build linux

package faults

import (
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sizewright/internal/filename"
	"sizewright/internal/record"
)

// troubled are the holds for trouble of the program rather than of the picture.
var troubled = []string{"internal", "interrupted"}

// records reads and checks every record, and notes which order it is of and which files it
// names.
func (a *audit) records() {
	for _, top := range []string{"outbox", "held"} {
		for _, folder := range a.list(top) {
			if folder.IsDir() && !(top == "outbox" && folder.Name() == "morning") {
				a.recordsIn(top, folder.Name())
			}
		}
	}
}

func (a *audit) recordsIn(top, folder string) {
	for _, e := range a.list(top + "/" + folder) {
		switch rel := top + "/" + folder + "/" + e.Name(); {
		case e.IsDir():
			a.recordsIn(top, folder+"/"+e.Name())
		case e.Type().IsRegular() && strings.HasSuffix(rel, ".json"):
			a.record(top, folder, rel)
		}
	}
}

func (a *audit) record(top, folder, rel string) {
	data, err := os.ReadFile(filepath.Join(a.dir, rel))
	if err != nil {
		a.found.add(Wrong, "%q cannot be read: %v", rel, err)
		return
	}
	if a.of(sum(data), folder) != nil {
		return // a picture of that name
	}
	r, err := record.Decode(data)
	if err != nil {
		a.found.add(HalfMade, "%q is no whole record: %v", rel, err)
		return
	}
	a.spoken[rel] = rel
	t := a.of(r.Source.SHA256, folder)
	if t == nil {
		a.found.add(Wrong, "%q is the record of a picture that nobody dropped there", rel)
		return
	}
	a.paths = append(a.paths, told{rel, r.Source.Original, r.Source.SHA256})
	switch {
	case top == "held":
		a.held(t, rel, r)
	case r.RepeatOf != "":
		t.repeats = append(t.repeats, rel)
		if _, err := os.Lstat(filepath.Join(a.dir, r.RepeatOf)); err != nil {
			a.found.add(Wrong, "%q repeats %q, which is not there", rel, r.RepeatOf)
		}
	default:
		t.made = append(t.made, rel)
		a.print(rel, r)
	}
}

func (a *audit) held(t *tally, rel string, r *record.Record) {
	t.held = append(t.held, rel)
	if r.Status != record.Held || r.Print != nil || r.Reason == "" {
		a.found.add(Wrong, "%q lies in held/ and says %s, for the reason %q", rel, r.Status, r.Reason)
	}
	if slices.Contains(troubled, r.Code) {
		a.found.add(Wrong, "%s was held through no fault of its own: %s", t, r.Why())
	}
	reason := strings.TrimSuffix(rel, ".json") + ".txt"
	a.speak(rel, reason)
	if text, err := os.ReadFile(filepath.Join(a.dir, reason)); err != nil || !r.IsReasonFile(text) {
		a.found.add(HalfMade, "%q does not say the reason that its record does (%v)", reason, err)
	}
}

// print checks all the files of a print.
func (a *audit) print(rel string, r *record.Record) {
	if r.Status != record.Ready && r.Status != record.ReadyWithCautions || r.Print == nil {
		a.found.add(Wrong, "%q lies in outbox/ and says %s", rel, r.Status)
		return
	}
	p, dir := r.Print, path.Dir(rel)
	width, height := r.Plan.Extent()
	if made := r.Plan.Print; p.WidthPX != made.Width || p.HeightPX != made.Height {
		a.found.add(HalfMade, "%q: the print is %d x %d px, but its record says %d x %d", rel, made.Width, made.Height, p.WidthPX, p.HeightPX)
	}
	for _, t := range p.TIFFs() {
		a.speak(rel, dir+"/"+t.File)
		if err := checkTIFF(filepath.Join(a.dir, dir, t.File), width, height, t.Bytes); err != nil {
			a.found.add(HalfMade, "%q: %v", dir+"/"+t.File, err)
		}
	}
	pictures := []string{p.Preview, p.OnPaper, p.GamutMap, p.Cropped}
	for _, c := range p.Crops {
		pictures = append(pictures, c.File, c.Before)
	}
	for _, name := range pictures {
		if name == "" {
			continue
		}
		a.speak(rel, dir+"/"+name)
		if err := checkPicture(filepath.Join(a.dir, dir, name)); err != nil {
			a.found.add(HalfMade, "%q: %v", dir+"/"+name, err)
		}
	}
	for _, l := range p.Labels {
		a.speak(rel, dir+"/"+l)
	}
	if p.Diagram != "" {
		a.speak(rel, dir+"/"+p.Diagram)
	}
}

// speak notes that a record names a file.
func (a *audit) speak(record, file string) {
	if other, ok := a.spoken[file]; ok {
		a.found.add(Doubled, "%q is named by two records, %q and %q", file, other, record)
	}
	a.spoken[file] = record
}

// unspoken finds files in the outbox that no record names.
func (a *audit) unspoken() {
	a.walk("outbox", func(rel, _ string) {
		if _, ok := a.spoken[rel]; !ok && !strings.HasPrefix(rel, "outbox/morning/") {
			a.found.add(HalfMade, "%q lies in the outbox, and no record names it", rel)
		}
	})
}

// opened checks that someone who uses a share can open the files that the program named.
func (a *audit) opened() {
	for _, top := range []string{"outbox", "originals", "held"} {
		a.walk(top, func(rel, _ string) {
			for name := range strings.SplitSeq(rel, "/") {
				if filename.Safe(name) != name {
					a.found.add(Wrong, "%q cannot be opened everywhere", rel)
					return
				}
			}
		})
	}
}

// pointing checks that each record knows where its original is.
func (a *audit) pointing() {
	for _, p := range a.paths {
		if a.originals[p.original] != p.sha {
			a.found.add(Wrong, "%q says that its original is %q, and it is not", p.record, p.original)
		}
	}
}

// report checks that the morning report, if there is one, can be read.
func (a *audit) report() {
	const dir = "outbox/morning"
	for _, e := range a.list(dir) {
		data, err := os.ReadFile(filepath.Join(a.dir, dir, e.Name()))
		switch ext := path.Ext(e.Name()); {
		case err != nil:
			a.found.add(Wrong, "%s/%s: %v", dir, e.Name(), err)
		case ext == ".json" && !wholeJSON(data), ext == ".html" && !wholeHTML(data), ext != ".json" && ext != ".html":
			a.found.add(HalfMade, "%s/%s is no whole report", dir, e.Name())
		}
	}
}
