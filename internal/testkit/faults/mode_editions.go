//go:build linux

package faults

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"sizewright/internal/edition"
	"sizewright/internal/record"
)

// ofEdition is how many prints the editions of the trial have: as many as it takes.
const ofEdition = 999

// editions kills the daemon again and again while numbered prints come in, and takes the
// ledger away now and then. Pictures of equal names come in for two jobs and two sizes.
func editions(ctx context.Context, t *modeRun) error {
	n, err := t.begin(0, Settings{Print: fmt.Sprintf("media = \"card\"\ncaption = \"{name} {edition}\"\nedition = %d\n"+
		"[media.card]\nkind = \"sheet\"\nwidth_mm = 250\nlength_mm = 180\n", ofEdition)})
	if err != nil {
		return err
	}
	folders := []string{"A6", "A5", "Marsh/A6", "Marsh/A5", "A6 x2"}
	for _, f := range folders {
		if err := os.MkdirAll(n.path("drop", f), 0o755); err != nil {
			return err
		}
	}
	hit, lost := make([]int, len(stageNames)), 0
	for k := range t.Tries {
		if ctx.Err() != nil {
			return nil
		}
		for range t.share(k) {
			n.dropNamed(folders[n.rand.IntN(len(folders))])
		}
		if k%3 == 2 && os.Remove(n.path(edition.File)) == nil {
			lost++
		}
		d := n.Start(0)
		t.await(ctx, d, k)
		d.Kill()
		hit[n.struck(d)]++
	}
	n.Start(0)
	n.Finish(ctx, 5*time.Minute)
	given := n.checkNumbers()
	t.result.note("%d numbers on prints, the ledger lost %d times; %s", given, lost, hits(hit))
	if given == 0 {
		n.wrong.add(Wrong, "no print has a number")
	}
	return nil
}

// dropNamed drops a new picture under one of a few names, unless one of that name waits.
func (n *Trial) dropNamed(folder string) {
	p := Good(n.rand)
	name := []string{"tide", "Tide", "reed"}[n.rand.IntN(3)] + p.Suffix
	d := drop{n, folder, name, p.Data}
	if _, err := os.Lstat(d.path()); err == nil {
		return
	}
	if err := d.via(filepath.Join(n.Desk(), "next"), 0, n.rand); err != nil {
		panic("faults: " + err.Error())
	}
	n.Ledger.Add(Order{Folder: folder, Name: name, Kind: p.Kind, SHA256: sum(p.Data), May: p.May})
}

// checkNumbers finds numbers that two prints of an edition have, and prints that do not
// bear theirs. It returns how many numbers there are.
func (n *Trial) checkNumbers() (given int) {
	has := map[string]string{}
	filepath.WalkDir(n.path("outbox"), func(path string, e fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".json") || strings.Contains(path, "/morning/") {
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return nil
		}
		r, err := record.Decode(data)
		if err != nil || r.RepeatOf != "" || r.Print == nil {
			return nil // the audit says what is wrong with it
		}
		lines := r.Numbers()
		if len(lines) != r.Plan.Copies() {
			n.wrong.add(Wrong, "%s has %d numbers, and %d copies are asked for", path, len(lines), r.Plan.Copies())
		}
		for i, l := range lines {
			given++
			of := strings.ToLower(fmt.Sprint(l.Job, "/", l.Name, " ", l.Number))
			if other, twice := has[of]; twice {
				n.wrong.add(Doubled, "%s and %s have the number %s", other, path, of)
			}
			has[of] = path
			if want := edition.Text(l.Number, ofEdition); i == 0 && !strings.HasSuffix(r.Plan.Paper.Layout.Options.Caption, " "+want) {
				n.wrong.add(Wrong, "%s has the number %s, and its caption is %q", path, want, r.Plan.Paper.Layout.Options.Caption)
			}
		}
		return nil
	})
	return given
}
