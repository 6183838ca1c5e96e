//go:build linux

package faults

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Audit compares the studio at dir, in which no daemon runs any more, with what was dropped
// into it. It changes nothing.
func Audit(dir string, l *Ledger) Findings {
	a := &audit{dir: dir, byFolder: map[string][]*tally{}, spoken: map[string]string{}, originals: map[string]string{}}
	for _, o := range l.Orders() {
		a.byFolder[o.SHA256] = append(a.byFolder[o.SHA256], &tally{Order: o})
	}
	a.records()
	a.places()
	a.unspoken()
	a.pointing()
	a.opened()
	a.report()
	a.left(l.Clutter())
	for _, o := range l.Orders() {
		a.judge(a.of(o.SHA256, o.Folder))
	}
	return a.found
}

// audit is one comparison.
type audit struct {
	dir       string
	byFolder  map[string][]*tally // by SHA-256
	spoken    map[string]string   // files that a record names, with the record
	originals map[string]string   // SHA-256 of the originals found in originals/ and held/, by their path in JSON
	paths     []told
	found     Findings
}

// told is where a record says its original is.
type told struct{ record, original, sha string }

// tally is what was found about one order.
type tally struct {
	Order
	at            []string // its originals
	dropped       int      // how many are still in the drop folder
	made, repeats []string // its records
	held          []string
}

// of returns the order of these bytes for this folder, or nil.
func (a *audit) of(sha, folder string) *tally {
	for _, t := range a.byFolder[sha] {
		if t.isFor(folder) {
			return t
		}
	}
	return nil
}

// places finds every original, in every directory where one could be.
func (a *audit) places() {
	for _, top := range []string{"drop", "originals", "held"} {
		a.walk(top, func(rel string, sha string) {
			folder := strings.TrimPrefix(path.Dir(rel), top+"/")
			t := a.of(sha, folder)
			if t == nil {
				a.unknown(top, rel)
				return
			}
			t.at = append(t.at, rel)
			if top == "drop" {
				t.dropped++
			} else {
				a.originals[rel] = sha
			}
		})
	}
	a.claims()
}

// unknown handles a file in a directory of originals that nobody dropped.
func (a *audit) unknown(top, rel string) {
	switch _, spoken := a.spoken[rel]; {
	case spoken:
	case top == "drop":
		// People keep things there; a changed original shows up as lost.
	default:
		a.found.add(HalfMade, "%q is neither an original that was dropped nor named by a record", rel)
	}
}

// claims checks that there are none, because no daemon runs.
func (a *audit) claims() {
	const dir = ".sizewright/claims"
	for _, e := range a.list(dir) {
		a.found.add(HalfMade, "the claim %s was forgotten", e.Name())
		a.walk(dir+"/"+e.Name()+"/original", func(rel, sha string) {
			for _, t := range a.byFolder[sha] {
				t.at = append(t.at, rel)
			}
		})
	}
}

// judge finds what is wrong with the end of one order.
func (a *audit) judge(t *tally) {
	switch n := len(t.at); {
	case n < t.Copies:
		a.found.add(Lost, "%s was dropped %d times and is %d times there, at %q", t, t.Copies, n, t.at)
	case n > t.Copies:
		a.found.add(Doubled, "%s was dropped %d times and is %d times there, at %q", t, t.Copies, n, t.at)
	}
	var ended Outcome
	if len(t.made) > 0 {
		ended |= Made
	}
	if len(t.held) > 0 {
		ended |= Held
	}
	if t.dropped > 0 {
		ended |= Left
	}
	switch {
	case ended == 0:
		a.found.add(Lost, "%s was to be %s, and there is no record of it", t, t.May)
		return
	case ended&(ended-1) != 0:
		a.found.add(Doubled, "%s came to more than one end: %s", t, ended)
		return
	case ended&t.May == 0:
		a.found.add(Wrong, "%s was to be %s, and was %s", t, t.May, ended)
		return
	}
	switch {
	case len(t.made) > 1:
		a.found.add(Doubled, "%s was made %d times: %q", t, len(t.made), t.made)
	case ended == Made && len(t.repeats) != t.Copies-1:
		a.found.add(Wrong, "%s was dropped %d times, made once and recognised %d times", t, t.Copies, len(t.repeats))
	case ended == Held && len(t.held) != t.Copies:
		a.found.add(Doubled, "%s was dropped %d times and held %d times: %q", t, t.Copies, len(t.held), t.held)
	}
}

// left checks that files that are not orders are unchanged.
func (a *audit) left(clutter []Clutter) {
	for _, o := range clutter {
		info, err := os.Lstat(filepath.Join(a.dir, o.Path))
		switch {
		case err != nil:
			a.found.add(Lost, "%q was to be left alone, and is gone", o.Path)
		case info.Mode().Type() != o.Type:
			a.found.add(Wrong, "%q was to be left alone, and is now %s", o.Path, info.Mode())
		}
	}
}

// walk passes every regular file under top to do, with its SHA-256.
func (a *audit) walk(top string, do func(rel, sha string)) {
	err := filepath.WalkDir(filepath.Join(a.dir, top), func(p string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		do(strings.TrimPrefix(p, a.dir+"/"), sum(data))
		return nil
	})
	if err != nil && !os.IsNotExist(err) {
		a.found.add(Wrong, "%s cannot be looked through: %v", top, err)
	}
}

func (a *audit) list(rel string) []fs.DirEntry {
	entries, err := os.ReadDir(filepath.Join(a.dir, rel))
	if err != nil && !os.IsNotExist(err) {
		a.found.add(Wrong, "%s cannot be listed: %v", rel, err)
	}
	return entries
}
