package studio

import (
	"bytes"
	"encoding/json"
	"path"
	"slices"
	"strings"
	"testing"
)

// FuzzJournal is any publish.json that lies in a claim: it is refused, or every move
// of it stays within the claim and the studio's own directories, and it is written and
// read again as the same.
func FuzzJournal(f *testing.F) {
	for _, text := range []string{
		`{"kind":"publish","folder":"A4","name":"a.jpg","moves":[{"from":"original/a.jpg","to":"originals/A4/a.jpg"},{"from":"made/print.tif","to":"outbox/A4/a.tif","wanted":"outbox/A4/b.tif"}]}`,
		`{"kind":"hold","folder":{"base64":"/w=="},"name":"a.jpg","moves":[{"from":"original/a.jpg","to":{"base64":"aGVsZC//L2EuanBn"}}]}`,
		`{"kind":"hold","folder":"..","name":"a","moves":[{"from":"original/../../a","to":"held/../a"}]}`,
		`{}`, `[1`,
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var j journal
		if json.Unmarshal(data, &j) != nil || j.check() != nil {
			return
		}
		for _, m := range j.Moves {
			for _, p := range []string{string(m.From), string(m.To)} {
				if path.Clean(p) != p || strings.HasPrefix(p, "/") || slices.Contains(strings.Split(p, "/"), "..") {
					t.Fatalf("%q leads astray", p)
				}
			}
		}
		text, err := json.Marshal(j)
		if err != nil {
			t.Fatal(err)
		}
		var again journal
		if err := json.Unmarshal(text, &again); err != nil || again.check() != nil {
			t.Fatalf("%s is not read again: %v, %v", text, err, again.check())
		}
		if once, _ := json.Marshal(again); !bytes.Equal(once, text) {
			t.Fatalf("was written as\n%s\nand then as\n%s", text, once)
		}
	})
}
