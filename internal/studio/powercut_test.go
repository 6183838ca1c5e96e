package studio

import (
	"fmt"
	"math/bits"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A power cut is worse than a crash: of the changes not yet fsynced, any may
// be lost while later ones survive. This file replays that, by the weakest
// promises POSIX leaves room for:
//
//   - a file's content is durable from its fsync on, and empty before;
//   - a name made, removed or moved is durable once every directory concerned
//     has been fsynced;
//   - changes not yet durable are lost or kept each on its own, in any mixture
//     (tried: all mixtures of up to four changes; of more, those that lose or
//     keep at most two).
//
// It takes one thing for granted, as every journalling file system has it: a
// rename happens whole or not at all, also between two directories.

// event is one change, with what a replay needs to know.
type event struct {
	change
	content []byte // of a file at its fsync
	silent  bool   // made by the caller, and announced by nobody
}

// isTakeover tells that a claim's directory gets another name.
func (e event) isTakeover() bool { return e.op == "rename" && path.Dir(e.from) == claimsDir }

// renamed is rel after a directory's name has changed.
func renamed(rel, from, to string) string {
	if rest, ok := strings.CutPrefix(rel, from); ok && (rest == "" || rest[0] == '/') {
		return to + rest
	}
	return rel
}

// recordStory plays a story in a fresh scene and gives its changes.
func recordStory(t *testing.T, story func(*Studio, *Claim) error) (events []event) {
	t.Helper()
	s, die := resumed(t, scene(t), false)
	defer die()
	s.tree.before = recorder(s, &events)
	if err := play(s, story); err != nil {
		t.Fatal(err)
	}
	return events
}

// recorder writes down the changes to a studio.
func recorder(s *Studio, events *[]event) func(change) error {
	seen := map[string]bool{}
	return func(c change) error {
		e := event{change: c}
		if c.op == "sync" {
			e.content, _ = os.ReadFile(s.abs(c.from))
			// Files made by the caller are announced by nobody.
			if !seen[c.from] && c.from != claimPath(path.Base(path.Dir(path.Dir(c.from))), originalPart, "marsh.jpg") {
				*events = append(*events, event{change: change{op: "create", from: c.from}, silent: true})
			}
		}
		seen[c.from] = true
		*events = append(*events, e)
		return nil
	}
}

// pending picks, of the events before the cut, those that may be lost.
func pending(events []event) (at []int) {
	for i, e := range events {
		var dirs []string
		switch e.op {
		case "mkdir", "rmdir", "unlink", "create":
			dirs = []string{path.Dir(e.from)}
		case "rename":
			dirs = []string{path.Dir(e.from), path.Dir(e.to)}
		}
		durable := !slices.ContainsFunc(dirs, func(dir string) bool {
			return !slices.ContainsFunc(events[i:], func(later event) bool {
				if later.isTakeover() { // it is the same directory under any name
					dir = renamed(dir, later.from, later.to)
				}
				return later.op == "syncdir" && later.from == dir
			})
		})
		if !durable {
			at = append(at, i)
		}
	}
	return at
}

// replay makes the events happen at dir, but for those lost. What a lost one
// makes impossible does not happen either; but a directory whose name is lost
// takes with it whatever was moved there.
func replay(dir string, events []event, lost map[int]bool) {
	sure := func(rel string) string { return rel }
	for i, e := range events {
		from, to := filepath.Join(dir, sure(e.from)), filepath.Join(dir, sure(e.to))
		if lost[i] && e.isTakeover() { // what happened in it happened to one of the old name
			before := sure
			sure = func(rel string) string { return before(renamed(rel, e.to, e.from)) }
		}
		if lost[i] && e.op != "mkdir" {
			continue
		}
		switch e.op {
		case "mkdir":
			if os.Mkdir(from, 0o777) == nil && lost[i] {
				defer os.RemoveAll(from)
			}
		case "rmdir", "unlink":
			os.Remove(from)
		case "create":
			os.WriteFile(from, nil, 0o666)
		case "sync":
			if _, err := os.Stat(from); err == nil {
				os.WriteFile(from, e.content, 0o666)
			}
		case "rename":
			os.Rename(from, to)
		}
	}
}

// cuts calls check with the studio as every power cut of every kind could
// have left it, until check says stop. It gives the number of cuts.
func cuts(t *testing.T, events []event, check func(dir string, cut func() string) (stop bool)) (n int) {
	t.Helper()
	return cutsFrom(t, 0, events, check)
}

// cutsFrom is cuts, with none before the first so many events.
func cutsFrom(t *testing.T, first int, events []event, check func(dir string, cut func() string) (stop bool)) (n int) {
	t.Helper()
	for k := first; k <= len(events); k++ {
		at := pending(events[:k])
		for subset := range uint(1) << len(at) {
			if lose := bits.OnesCount(subset); len(at) > 4 && lose > 2 && len(at)-lose > 2 {
				continue
			}
			lost := map[int]bool{}
			for bit, i := range at {
				lost[i] = subset>>bit&1 == 1
			}
			dir := scene(t)
			replay(dir, events[:k], lost)
			n++
			tell := func() string { return fmt.Sprintf("a power cut after %v, losing %v", events[:k], lost) }
			if check(dir, tell) {
				return n
			}
			os.RemoveAll(dir)
		}
	}
	return n
}

func TestAPowerCutAtAnyMomentLosesNothing(t *testing.T) {
	for name, story := range stories {
		t.Run(name, func(t *testing.T) {
			n := cuts(t, recordStory(t, story), func(dir string, cut func() string) bool {
				settled(t, dir, false)
				if t.Failed() {
					t.Log(cut())
				}
				return t.Failed()
			})
			t.Logf("%d power cuts", n)
		})
	}
}

// recordRecovery has the story killed after n changes and recovered: what was
// not yet durable when the process was killed is not so at the next start.
func recordRecovery(t *testing.T, n int, story func(*Studio, *Claim) error) (events []event, atKill int) {
	t.Helper()
	dir := scene(t)
	s, die := resumed(t, dir, false)
	record := recorder(s, &events)
	seen := 0
	s.tree.before = func(c change) error {
		if seen++; seen > n {
			return errCrash
		}
		return record(c)
	}
	play(s, story)
	die()
	atKill = len(events)
	s, die = resumed(t, dir, false)
	defer die()
	s.tree.before = recorder(s, &events)
	recovered(t, s)
	return events, atKill
}

func TestAPowerCutWhileRecoveringFromAKillLosesNothing(t *testing.T) {
	for name, story := range stories {
		t.Run(name, func(t *testing.T) {
			cut, n := 0, 0
			for _, e := range recordStory(t, story) {
				if !e.silent {
					n++
				}
				// Killed just after the moves that matter, before they can be durable.
				if e.op != "rename" || path.Base(e.to) != journalName && path.Base(e.from) != "marsh.jpg" {
					continue
				}
				events, atKill := recordRecovery(t, n, story)
				cut += cutsFrom(t, atKill, events, func(dir string, cut func() string) bool {
					settled(t, dir, false)
					if t.Failed() {
						t.Log(cut())
					}
					return t.Failed()
				})
				if t.Failed() {
					t.Fatalf("killed after %v", e)
				}
			}
			t.Logf("%d power cuts", cut)
		})
	}
}

// The model must be able to find fault: with the fsyncs that a step relies on
// left out, some power cut has to do harm.
func TestThePowerCutsFindAMissingFsync(t *testing.T) {
	for what, left := range map[string]func(event) bool{
		"of the made files": func(e event) bool { return e.op == "sync" && path.Base(path.Dir(e.from)) == madePart },
		"of the journal":    func(e event) bool { return e.op == "sync" && tempOf(e.from, journalName) },
		"of outbox and originals": func(e event) bool {
			return e.op == "syncdir" && (path.Dir(e.from) == outboxDir || path.Dir(e.from) == originalsDir)
		},
		"of the order":             func(e event) bool { return e.op == "sync" && tempOf(e.from, orderName) },
		"of the claims":            func(e event) bool { return e.op == "syncdir" && e.from == claimsDir },
		"of the claim's directory": func(e event) bool { return e.op == "syncdir" && path.Dir(e.from) == claimsDir },
	} {
		t.Run(what, func(t *testing.T) {
			events := slices.DeleteFunc(recordStory(t, stories["published"]), left)
			found := false
			cuts(t, events, func(dir string, _ func() string) bool {
				found = harmed(t, dir)
				return found
			})
			if !found {
				t.Errorf("no power cut does harm without the fsync %s", what)
			}
		})
	}
}

func tempOf(rel, name string) bool {
	base := path.Base(rel)
	return isTemp(base) && strings.HasPrefix(base, name)
}

// harmed is judge for one who hopes for the worst.
func harmed(t *testing.T, dir string) bool {
	t.Helper()
	s, die := resumed(t, dir, false)
	defer die()
	if _, err := s.Recover(); err != nil || len(claimsLeft(t, s)) != 0 {
		return true
	}
	at := places(t, s, thePhotograph)
	if len(at) != 1 {
		return true
	}
	all := files(t, dir)
	whole := all["outbox/A2/marsh.tif"] == pretendPrint(".tif", thePhotograph) && all["outbox/A2/marsh.json"] != ""
	return (path.Dir(at[0]) == "originals/A2") != whole
}
