package daemon

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// script is a program that a shell reads.
func script(t *testing.T, lines string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "tell")
	if err := os.WriteFile(name, []byte("#!/bin/sh\n"+lines+"\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestTheProgramHearsTheReportOnItsInput(t *testing.T) {
	heard := filepath.Join(t.TempDir(), "heard.json")
	s, o := newStudio(t, "A6", quick)
	o.Notify = script(t, "cat > "+heard)
	drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
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
		t.Errorf("the program heard %+v (%v)", report, err)
	}
}

func TestAProgramThatFailsOrHangsIsToldAndEndsNothing(t *testing.T) {
	for _, c := range []struct{ program, says string }{
		{"", ""}, {script(t, "true"), ""},
		{script(t, "echo no mail here; exit 3"), "no mail here"},
		{"/nowhere/at/all", "/nowhere/at/all"},
		{script(t, "exec sleep 600"), "took more than"},
		{script(t, "sleep 600 & wait"), "took more than"},
	} {
		err := notify(t.Context(), c.program, []byte("{}"), 200*time.Millisecond)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, want something of %q", c.program, err, c.says)
		}
	}
}

// The daemon's environment holds what is between it and systemd, and whatever its unit
// keeps there: none of it is the program's business.
func TestTheProgramHasAnEnvironmentOfItsOwn(t *testing.T) {
	heard := filepath.Join(t.TempDir(), "heard")
	for name, value := range map[string]string{"NOTIFY_SOCKET": "/run/x", "LD_PRELOAD": "", "PASSWORD": "x", "PATH": os.Getenv("PATH") + ":/srv/studio", "HOME": "/home/anna", "LANG": "de_AT"} {
		t.Setenv(name, value)
	}
	if err := notify(t.Context(), script(t, "{ /usr/bin/env; pwd; } > "+heard), nil, time.Minute); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(heard)
	if err != nil {
		t.Fatal(err)
	}
	got := slices.DeleteFunc(strings.Fields(string(data)), func(s string) bool { // the shell's own
		return s == "PWD=/" || strings.HasPrefix(s, "_=") || strings.HasPrefix(s, "OLDPWD=") || strings.HasPrefix(s, "SHLVL=")
	})
	slices.Sort(got)
	if want := []string{"/", "HOME=/home/anna", "LANG=C.UTF-8", "PATH=/usr/local/bin:/usr/bin:/bin"}; !slices.Equal(got, want) {
		t.Errorf("its directory and environment are %q, want %q", got, want)
	}
}

// The loop that takes orders never waits for the program.
func TestAProgramThatTakesItsTimeKeepsNobodyWaiting(t *testing.T) {
	begun, goOn := make(chan bool, 3), make(chan bool)
	var told []string
	h := newNotifier(func(_ context.Context, facts []byte) {
		told = append(told, string(facts))
		begun <- true
		<-goOn
	})
	h.send([]byte("first"))
	<-begun
	h.send([]byte("second"))
	h.send([]byte("third"))
	close(goOn)
	h.close()
	if got := strings.Join(told, " "); got != "first third" {
		t.Errorf("told was %s; want the first, and the latest of those that waited", got)
	}
}

func TestWhatAProgramSaysIsKeptInPart(t *testing.T) {
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

// Whoever may drop a picture may write the configuration. Read again with a program in
// it, it is not taken, and the report says why.
func TestNoProgramIsTakenFromTheStudiosOwnFile(t *testing.T) {
	heard := filepath.Join(t.TempDir(), "heard")
	s, o := newStudio(t, "A6", quick)
	reload := make(chan os.Signal)
	o.Reload = reload
	serving(t, o)
	theirs := quick + "[morning]\nnotify = [\"" + script(t, "touch "+heard) + "\"]\n"
	if err := os.WriteFile(s.ConfigPath(), []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	reload <- syscall.SIGHUP
	drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
	page := filepath.Join(s.MorningDir(), "latest.html")
	appears(t, page)
	if text, err := os.ReadFile(page); err != nil || !strings.Contains(string(text), "--notify PROGRAM") {
		t.Errorf("the report does not say where the program belongs: %v", err)
	}
	if _, err := os.Stat(heard); err == nil {
		t.Error("the program was run")
	}
}
