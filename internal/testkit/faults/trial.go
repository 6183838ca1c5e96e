//go:build linux

package faults

import (
	"context"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// folders are the drop folders of a trial: sizes that are printed quickly, and stocks.
var folders = []string{"A6", "A5", "A4", "A3", "A6 lustre", "A5 matte"}

// strict is the drop folder that holds what is too small for it; the others make it as
// large as it carries.
const strict = "A6 strict"

// Trial is a studio in a directory of its own. Beside it is a desk, where pictures are before
// they are dropped. Nothing else may appear there.
type Trial struct {
	Dir    string // holds studio/ and desk/
	Binary string // path of sizewright
	Seed   uint64
	UID    int // owner of the studio and the daemons; 0: this process's user
	Ledger Ledger
	Say    func(format string, args ...any) // reports progress

	rand    *rand.Rand // used by the goroutine that drops
	n       int        // pictures dropped so far
	copying sync.WaitGroup
	daemons []*Daemon
	wrong   Findings // found during the trial

	oldPages []string // partial pages left by killed daemons
	plain    bool     // no two names are the same
}

// Settings are what a mode changes in the configuration.
type Settings struct {
	Work  string // lines under [work]
	Print string // lines under [print]
	More  string // tables
}

// NewTrial creates a studio in dir, which it makes, with the command `init`.
func NewTrial(dir, binary string, seed uint64, uid int, s Settings) (*Trial, error) {
	dir, err := filepath.Abs(dir)
	if err == nil {
		binary, err = filepath.Abs(binary)
	}
	if err != nil {
		return nil, err
	}
	n := &Trial{Dir: dir, Binary: binary, Seed: seed, UID: uid, Say: func(string, ...any) {},
		rand: rand.New(rand.NewPCG(seed, 0))}
	if err := os.MkdirAll(n.Desk(), 0o755); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(n.Studio(), 0o755); err != nil { // a disk may be mounted there
		return nil, err
	}
	if out, err := exec.Command(binary, "init", n.Studio()).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("init: %w: %s", err, out)
	}
	for _, f := range append(folders, strict) {
		if err := os.MkdirAll(n.path("drop", f), 0o755); err != nil {
			return nil, err
		}
	}
	if err := n.Configure(s); err != nil {
		return nil, err
	}
	if out, err := exec.Command(binary, "check", "--studio", n.Studio()).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("check: %w: %s", err, out)
	}
	return n, n.giveAway(n.Studio())
}

// Studio is the studio's directory.
func (n *Trial) Studio() string { return filepath.Join(n.Dir, "studio") }

// Desk is a directory beside the studio.
func (n *Trial) Desk() string { return filepath.Join(n.Dir, "desk") }

func (n *Trial) path(parts ...string) string {
	return filepath.Join(append([]string{n.Studio()}, parts...)...)
}

// Configure writes sizewright.toml. Prints are small, and files settle quickly.
func (n *Trial) Configure(s Settings) error {
	toml := fmt.Sprintf("[intake]\nsettle = \"50ms\"\nrescan = \"1s\"\nstalled_after = \"1m\"\n[work]\nkeep_free_mib = 0\n%s\n"+
		"[print]\nppi = 72\nminimum_ppi = 20\ncaution_ppi = 20\ntoo_small = \"largest\"\n%s\n[folder.%q]\ntoo_small = \"hold\"\n%s", s.Work, s.Print, strict, s.More)
	return os.WriteFile(n.path("sizewright.toml"), []byte(toml), 0o644)
}

// giveAway gives everything under a path to the daemons' user.
func (n *Trial) giveAway(path string) error {
	if n.UID == 0 {
		return nil
	}
	return filepath.WalkDir(path, func(p string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Lchown(p, n.UID, n.UID)
	})
}

// asleep waits, unless ctx ends.
func asleep(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-t.C:
	}
}

// Finish waits until all copying has ended, and then until nothing is left to do in the
// studio. A daemon must be running. It notes what is not done in time.
func (n *Trial) Finish(ctx context.Context, patience time.Duration) {
	n.copying.Wait()
	deadline := time.Now().Add(patience)
	for calm := 0; calm < 3; {
		if ctx.Err() != nil || time.Now().After(deadline) || !n.anyAlive() {
			n.wrong.add(Wrong, "there was still something to be done at the end: %s; the daemon says %s", n.waiting(), n.lastSaid())
			return
		}
		asleep(ctx, 150*time.Millisecond)
		if calm++; n.waiting() != "" {
			calm = 0
		}
	}
	n.awaitReport(ctx)
}

// reportPatience is how long a morning report may take once nothing is left to do. It makes
// the thumbnail of every print.
const reportPatience = 2 * time.Minute

// awaitReport waits until the latest report is newer than every record.
func (n *Trial) awaitReport(ctx context.Context) {
	for end := time.Now().Add(reportPatience); n.unreported(); asleep(ctx, 100*time.Millisecond) {
		if ctx.Err() != nil || time.Now().After(end) {
			n.wrong.add(Wrong, "all was done, and %v later no morning report told of it", reportPatience)
			return
		}
	}
}

// unreported reports whether a record is newer than the latest report.
func (n *Trial) unreported() bool {
	var told, newest time.Time
	if info, err := os.Stat(n.path("outbox", "morning", "latest.html")); err == nil {
		told = info.ModTime()
	}
	made, _ := filepath.Glob(n.path("outbox", "*", "*.json"))
	held, _ := filepath.Glob(n.path("held", "*", "*.json"))
	for _, r := range slices.Concat(made, held) {
		info, err := os.Stat(r)
		if err == nil && filepath.Base(filepath.Dir(r)) != "morning" && info.ModTime().After(newest) {
			newest = info.ModTime()
		}
	}
	return newest.After(told)
}

func (n *Trial) anyAlive() bool { return slices.ContainsFunc(n.daemons, (*Daemon).Alive) }

// lastSaid returns the end of the latest daemon's log.
func (n *Trial) lastSaid() string {
	if len(n.daemons) == 0 {
		return "nothing"
	}
	return n.daemons[len(n.daemons)-1].log.tail(8)
}

// waiting describes what is not done, "" for nothing: orders in hand, and files in a drop
// folder that may not stay there.
func (n *Trial) waiting() string {
	if claims, _ := os.ReadDir(n.path(".sizewright", "claims")); len(claims) > 0 {
		return fmt.Sprintf("%d in hand", len(claims))
	}
	stays := map[string]bool{}
	for _, o := range n.Ledger.Orders() {
		stays[o.SHA256] = o.May&Left != 0
	}
	for _, o := range n.Ledger.Clutter() {
		stays[o.Path] = true
	}
	var found string
	filepath.WalkDir(n.path("drop"), func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || stays[strings.TrimPrefix(p, n.Studio()+"/")] {
			return nil
		}
		if data, err := os.ReadFile(p); err == nil && !stays[sum(data)] {
			found = fmt.Sprintf("%q", p)
			return fs.SkipAll
		}
		return nil
	})
	return found
}

// Judge audits the studio, and checks that nothing appeared beside it and that no process is
// left. It first stops daemons that still run.
func (n *Trial) Judge() Findings {
	for _, d := range n.daemons {
		d.Stop()
	}
	for _, d := range n.daemons {
		n.wrong = append(n.wrong, d.wrong...)
	}
	found := append(n.wrong, Audit(n.Studio(), &n.Ledger)...)
	entries, err := os.ReadDir(n.Dir)
	if err != nil || len(entries) != 2 {
		found.add(Wrong, "beside the studio and the desk there is something else: %v (%v)", entries, err)
	}
	for _, pid := range orphans(n.Studio()) {
		found.add(Wrong, "process %d of the daemon outlived it", pid)
	}
	if len(found) > 0 {
		n.keepLogs(filepath.Dir(n.Dir))
	}
	return found
}

// keepLogs writes each daemon's log beside the trial's directory, for finding the cause of a finding.
func (n *Trial) keepLogs(dir string) {
	for i, d := range n.daemons {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("daemon-%03d.log", i)), []byte(strings.ReplaceAll(d.log.tail(1e6), "\n\t", "\n")+"\n"), 0o644); err != nil {
			n.Say("%v", err)
		}
	}
}
