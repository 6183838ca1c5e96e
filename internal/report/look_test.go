package report

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"sizewright/internal/record"
)

// TestLookAtAStudio writes the page of a real studio's records for somebody to
// look at: MORNING_LOOK=studio go test -run LookAtAStudio. The page goes where the
// daemon's would, beside it, so that its links lead somewhere; pictures of it, all
// unfolded, go into the folder that MORNING_SHOTS names.
func TestLookAtAStudio(t *testing.T) {
	root := os.Getenv("MORNING_LOOK")
	if root == "" {
		t.Skip("MORNING_LOOK names no studio")
	}
	entries, err := record.Reader{Root: root}.Read(t.Context(), time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	n := nightOf(entries...)
	page, err := n.Page(t.Context(), Making{Root: root})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(root, "outbox/morning/look.html")
	if err := os.WriteFile(file, page, 0o666); err != nil {
		t.Fatal(err)
	}
	if os.Getenv("MORNING_SHOTS") != "" {
		b := newBrowser(t)
		for _, scheme := range []string{"light", "dark"} {
			for name, width := range map[string]int{"phone": 390, "wide": 1280} {
				b.screen(width, 900, scheme, "screen")
				b.visit(file)
				b.eval(openAll, nil)
				b.eval(eager, nil)
				b.shot("look-" + scheme + "-" + name)
			}
		}
		b.screen(794, 1123, "light", "print")
		b.visit(file)
		b.eval(eager, nil)
		b.shot("look-print")
	}
	t.Logf("%s: %d records, %d bytes", file, len(entries), len(page))
}
