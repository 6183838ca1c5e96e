package daemon

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/machines"
	"sizewright/internal/record"
	"sizewright/internal/testkit/natstest"
)

// sendAll has every print sent.
func sendAll(t *testing.T) {
	machines.SendAll = "yes"
	t.Cleanup(func() { machines.SendAll = "" })
}

// printsOf makes three pictures in a studio and returns its TIFFs by their names.
func printsOf(t *testing.T, toml string, ready func(*run)) (map[string][]byte, *Result) {
	t.Helper()
	s, o := newStudio(t, "20x30mm", quick+toml)
	for i := range 3 {
		drop(t, s, "20x30mm", fmt.Sprintf("marsh%d.jpg", i), jpegOf(t, 300+i, 200))
	}
	o.onOpen = ready
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][]byte{}
	paths, _ := filepath.Glob(filepath.Join(s.Root(), "outbox/20x30mm/*.tif"))
	for _, path := range paths {
		if all[filepath.Base(path)], err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
	}
	for _, e := range result.Night.Records {
		readRecord(t, s, e.Path)
	}
	return all, result
}

func TestPrintsOfOtherMachinesAreTheSame(t *testing.T) {
	sendAll(t)
	here, _ := printsOf(t, "", nil)
	server := natstest.Run(t)
	w := machines.Worker{Server: machines.Server{URL: server.URL}, Name: "press", Prints: 2, Scratch: t.TempDir(), Log: zap.NewNop()}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- w.Run(ctx) }()
	there, result := printsOf(t, "[machines]\nnats = \""+server.URL+"\"\n", func(r *run) {
		for range 1000 {
			if r.machines.Capacity() == 2 {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
		t.Error("there is no worker after 10 s")
	})
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	away := 0
	for _, e := range result.Night.Records {
		if e.Record.Print.Made.Worker == "press" {
			away++
		}
	}
	if len(here) != 3 || len(there) != 3 || away < 2 {
		t.Fatalf("%d and %d prints, %d on the other machine", len(here), len(there), away)
	}
	for name := range here {
		if !bytes.Equal(here[name], there[name]) {
			t.Errorf("%s differs", name)
		}
	}
}

// Without the server all is made here, and the report says so once.
func TestWithoutTheServerAllIsMadeHere(t *testing.T) {
	sendAll(t)
	server, err := natstest.New(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	prints, result := printsOf(t, "[machines]\nnats = \""+server.URL+"\"\n", nil)
	said := 0
	for _, l := range result.Night.Left {
		if strings.Contains(l.Text, "the server of [machines] was not reached") {
			said++
		}
	}
	if len(prints) != 3 || said != 1 {
		t.Errorf("%d prints; said %d times of %+v", len(prints), said, result.Night.Left)
	}
	if m := result.Night.Records[0].Record.Print.Made; m == nil || *m == (record.Made{}) || m.Worker != "" {
		t.Errorf("made %+v", m)
	}
}
