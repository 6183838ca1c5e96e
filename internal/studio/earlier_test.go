package studio

import (
	"os"
	"path/filepath"
	"testing"
)

// A studio as versions that could share one left it when they were killed: claims that
// carry their worker's name, one of them decided, one begun and one nearly ended; the
// workers' files and locks, turns, and the lock of deciding.
func TestWhatASharingVersionLeftIsPutRight(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	at := &Studio{dir: dir}
	const worker = "printroom-4242-89abcdef"
	claim := func(stamp string) string { return stamp + "-0123abcd~" + worker }
	order := func(name string) string {
		return `{"folder":"A2","name":"` + name + `","taken":"2026-03-01T22:15:00Z","worker":"` + worker + `"}`
	}
	in, decided, begun, ended := claim("20260301T221500"), claim("20260301T221501"), claim("20260301T221502"), claim("20260301T221503")
	for rel, content := range map[string]string{
		claimPath(in, orderName):                           order("marsh.jpg"),
		claimPath(in, originalPart, "marsh.jpg"):           thePhotograph,
		claimPath(in, madePart, "print.tif"):               "half a pri",
		claimPath(in, "publish.json.deadbeef.tmp"):         `{"kind`,
		claimPath(decided, orderName):                      order("dune.jpg"),
		claimPath(decided, originalPart, "dune.jpg"):       theirPhotograph,
		claimPath(decided, madePart, "reason.txt"):         "too small",
		claimPath(decided, journalName):                    `{"kind":"hold","folder":"A2","name":"dune.jpg","moves":[{"from":"original/dune.jpg","to":"held/A2/dune.jpg"},{"from":"made/reason.txt","to":"held/A2/dune.jpg.txt"}]}`,
		claimPath(begun, "order.json.deadbeef.tmp"):        `{"fold`,
		claimPath(ended, journalName):                      `{"kind":"hold","folder":"A2","name":"reed.jpg","moves":[{"from":"original/reed.jpg","to":"held/A2/reed.jpg"}]}`,
		earlierWorkers + "/" + worker + ".json":            `{"pid":4242,"host":"printroom","shared":true,"started":"2026-03-01T22:00:00Z","beat":900}`,
		earlierWorkers + "/" + worker + ".lock":            "",
		earlierTurns + "/0123456789abcdef0123456789abcdef": "",
		earlierDeciding:                                    "",
	} {
		put(t, at, rel, content)
	}
	s, die := started(t, dir)
	defer die()
	kinds := map[string]Kind{}
	for _, r := range recovered(t, s) {
		kinds[r.ID] = r.Kind
		if r.Untidy != nil {
			t.Errorf("%s: %v", r.ID, r.Untidy)
		}
	}
	for id, want := range map[string]Kind{in: Returned, decided: Held, begun: Cleared, ended: Held} {
		if kinds[id] != want {
			t.Errorf("%s was ended by %q, want %q", id, kinds[id], want)
		}
	}
	wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg")
	wantPlaces(t, s, theirPhotograph, "held/A2/dune.jpg")
	wantPlaces(t, s, "too small", "held/A2/dune.jpg.txt")
	if left := claimsLeft(t, s); len(left) != 0 {
		t.Errorf("claims left: %v", left)
	}
	for _, rel := range []string{earlierWorkers, earlierTurns, earlierDeciding} {
		if _, err := os.Lstat(filepath.Join(dir, rel)); !os.IsNotExist(err) {
			t.Errorf("%s is still there (%v)", rel, err)
		}
	}
	if n := interruptionsOf(t, s, "marsh.jpg"); n != 1 {
		t.Errorf("marsh.jpg was interrupted once, and %d are counted", n)
	}
	if r := recovered(t, s); len(r) != 0 {
		t.Errorf("a second recovery found %+v", r)
	}
}
