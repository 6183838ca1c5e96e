package daemon

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sizewright/internal/config"
)

func words(w ...string) string { return strings.Join(w, config.MediaSeparator) }

func TestTheCommandHearsTheReportOnItsInput(t *testing.T) {
	heard := filepath.Join(t.TempDir(), "heard.json")
	s, o := newStudio(t, "A6", quick+"[morning]\nnotify = [\"sh\", \"-c\", \"cat > "+heard+"\"]\n")
	drop(t, s, "A6", "a.jpg", jpegOf(t, 1200, 800))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(heard)
	if err != nil {
		t.Fatal(err)
	}
	var report struct {
		Orders []struct{ Source struct{ Name string } }
	}
	if err := json.Unmarshal(data, &report); err != nil || len(report.Orders) != 1 || report.Orders[0].Source.Name != "a.jpg" {
		t.Errorf("the command heard %+v (%v)", report, err)
	}
}

func TestACommandThatFailsOrHangsIsToldAndEndsNothing(t *testing.T) {
	for _, c := range []struct{ command, says string }{
		{"", ""}, {words("true"), ""},
		{words("sh", "-c", "echo no mail here; exit 3"), "no mail here"},
		{words("/nowhere/at/all"), "/nowhere/at/all"},
		{words("sleep", "600"), "took more than"},
		{words("sh", "-c", "sleep 600 & wait"), "took more than"},
	} {
		err := notify(t.Context(), c.command, []byte("{}"), 200*time.Millisecond)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, want something of %q", c.command, err, c.says)
		}
	}
}

// Words go to the program as they are: no shell reads them.
func TestTheCommandsWordsAreNoShellScript(t *testing.T) {
	whole := filepath.Join(t.TempDir(), "a;touch b")
	if err := notify(t.Context(), words("touch", whole), nil, time.Minute); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(whole); err != nil {
		t.Error("a word was read by a shell")
	}
}

// The loop that takes orders never waits for the command.
func TestACommandThatTakesItsTimeKeepsNobodyWaiting(t *testing.T) {
	begun, goOn := make(chan bool, 3), make(chan bool)
	var told []string
	h := newHerald(func(_ context.Context, facts []byte) {
		told = append(told, string(facts))
		begun <- true
		<-goOn
	})
	h.tell([]byte("first"))
	<-begun
	h.tell([]byte("second"))
	h.tell([]byte("third"))
	close(goOn)
	h.close()
	if got := strings.Join(told, " "); got != "first third" {
		t.Errorf("told was %s; want the first, and the latest of those that waited", got)
	}
}

func TestWhatACommandSaysIsKeptInPart(t *testing.T) {
	var said firstWords
	for range 100 {
		if n, err := said.Write([]byte("no mail here ")); n != 13 || err != nil {
			t.Fatalf("wrote %d, %v", n, err)
		}
	}
	if said.Len() != notifyWords || !strings.HasPrefix(said.String(), "no mail here no") {
		t.Errorf("%d bytes are kept: %s", said.Len(), said.String())
	}
}
