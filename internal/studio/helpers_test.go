package studio

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// laidOut gives an empty studio at dir, open and locked.
func laidOut(t testing.TB, dir string) *Studio {
	t.Helper()
	if err := Init(dir, nil, []string{"A2"}); err != nil {
		t.Fatal(err)
	}
	return opened(t, dir)
}

// opened gives the studio at dir, open and locked.
func opened(t testing.TB, dir string) *Studio {
	t.Helper()
	s, die := started(t, dir)
	t.Cleanup(die)
	return s
}

// started is what a process does first. die lets go of the lock as the system
// does when a process ends.
func started(t testing.TB, dir string) (s *Studio, die func()) {
	t.Helper()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	unlock, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	return s, func() {
		unlock()
		s.Close()
	}
}

// memoryDir is a directory on a file system that lives in memory, where there
// is one: thousands of fsyncs are cheap there.
func memoryDir(t testing.TB) string {
	t.Helper()
	if _, err := os.Stat("/dev/shm"); err != nil {
		return t.TempDir()
	}
	dir, err := os.MkdirTemp("/dev/shm", "sizewright-studio-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

func put(t testing.TB, s *Studio, rel, content string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(s.abs(rel)), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(s.abs(rel), []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
}

func get(t testing.TB, s *Studio, rel string) string {
	t.Helper()
	data, err := os.ReadFile(s.abs(rel))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// dropped puts a photograph in a drop folder and claims it.
func dropped(t testing.TB, s *Studio, folder, name, content string) *Claim {
	t.Helper()
	put(t, s, dropPath(folder, name), content)
	c, err := s.Claim(folder, name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// files is every regular file under the studio, by path, with its content.
func files(t testing.TB, root string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		rel, _ := filepath.Rel(root, path)
		all[rel] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// places is where a photograph of this content is.
func places(t testing.TB, s *Studio, content string) (at []string) {
	t.Helper()
	for rel, c := range files(t, s.dir) {
		if c == content {
			at = append(at, rel)
		}
	}
	slices.Sort(at)
	return at
}

func wantPlaces(t testing.TB, s *Studio, content string, want ...string) {
	t.Helper()
	if got := places(t, s, content); !slices.Equal(got, want) {
		t.Errorf("the photograph is at %q, want %q", got, want)
	}
}

// claimsLeft is what lies in .sizewright/claims.
func claimsLeft(t testing.TB, s *Studio) []string {
	t.Helper()
	names, err := s.tree.list(claimsDir)
	if err != nil {
		t.Fatal(err)
	}
	return names
}

// A pretend print: long enough to be seen half-written, with its end marked,
// and naming the photograph it was made from.
func pretendPrint(suffix, photograph string) string {
	sum := sha256.Sum256([]byte(photograph))
	line := suffix + " of " + hex.EncodeToString(sum[:]) + "\n"
	return strings.Repeat(line, 20) + "end of " + line
}

// pretendRecord is the part of a print record that matters here: the names.
type pretendRecord struct {
	Photograph      string
	Original, Print diskName
}

var pretendSuffixes = []string{".tif", ".preview.jpg", ".json"}

// makeSet makes a print, its preview and its record inside the claim.
func makeSet(c *Claim, n Names, photograph string) ([]File, error) {
	record, err := json.Marshal(pretendRecord{photograph, diskName(n.Original), diskName(n.Stem + ".tif")})
	if err != nil {
		return nil, err
	}
	return []File{{"print", ".tif"}, {"preview", ".preview.jpg"}, {"record", ".json"}}, errorsOf(
		os.WriteFile(c.MadePath("print"), []byte(pretendPrint(".tif", photograph)), 0o666),
		os.WriteFile(c.MadePath("preview"), []byte(pretendPrint(".preview.jpg", photograph)), 0o666),
		os.WriteFile(c.MadePath("record"), record, 0o666),
	)
}

// checkSets fails unless every record in outbox/ has its print and preview
// whole beside it and its original in originals/, and outbox/ holds no more.
// It gives the number of sets.
func checkSets(t testing.TB, s *Studio) (sets int) {
	t.Helper()
	all := files(t, s.dir)
	known := map[string]bool{}
	for rel, content := range all {
		if !strings.HasPrefix(rel, "outbox/") || !strings.HasSuffix(rel, ".json") {
			continue
		}
		var r pretendRecord
		if err := json.Unmarshal([]byte(content), &r); err != nil {
			t.Errorf("%s is no whole record: %v", rel, err)
			continue
		}
		sets++
		folder, print := filepath.Base(filepath.Dir(rel)), strings.TrimSuffix(rel, ".json")
		if filepath.Base(print)+".tif" != string(r.Print) {
			t.Errorf("%s speaks of %s", rel, r.Print)
		}
		if all["originals/"+folder+"/"+string(r.Original)] != r.Photograph {
			t.Errorf("%s: its original is not at originals/%s/%s", rel, folder, r.Original)
		}
		for _, suffix := range []string{".tif", ".preview.jpg"} {
			if all[print+suffix] != pretendPrint(suffix, r.Photograph) {
				t.Errorf("%s: %s is missing or not whole", rel, print+suffix)
			}
			known[print+suffix] = true
		}
		known[rel] = true
	}
	for rel := range all {
		if strings.HasPrefix(rel, "outbox/") && !known[rel] {
			t.Errorf("%s belongs to no set", rel)
		}
	}
	return sets
}

// wholeOrAbsent fails when a file under a final name in outbox/ is half-made,
// be its set complete or not.
func wholeOrAbsent(t testing.TB, s *Studio, photographs ...string) {
	t.Helper()
	whole := map[string]bool{}
	for _, p := range photographs {
		whole[pretendPrint(".tif", p)] = true
		whole[pretendPrint(".preview.jpg", p)] = true
	}
	for rel, content := range files(t, s.Outbox()) {
		if !whole[content] && !json.Valid([]byte(content)) {
			t.Errorf("outbox/%s is half-made under its final name", rel)
		}
	}
}

func errorsOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
