package main

import (
	"bufio"
	"fmt"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/testkit/reference"
)

const unitFile = "../../systemd/sizewright@.service"

// unitOf returns the unit as an instance for a studio, with a binary and a user that exist.
func unitOf(t *testing.T, binary, studio string) string {
	t.Helper()
	unit, err := os.ReadFile(unitFile)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer("/usr/local/bin/sizewright", binary, "=sizewright\n", "=root\n").Replace(string(unit))
	instance := strings.TrimSpace(reference.Output(t, "systemd-escape", "--path", studio))
	file := filepath.Join(t.TempDir(), "sizewright@"+instance+".service")
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestTheUnitIsSound(t *testing.T) {
	reference.Tool(t, "systemd-analyze")
	binary := build(t)
	out, err := exec.Command("systemd-analyze", "verify", unitOf(t, binary, t.TempDir())).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("systemd-analyze verify: %v\n%s", err, out)
	}
}

// One unit serves every studio: none of its lines names one.
func TestTheUnitNamesNoStudio(t *testing.T) {
	unit, err := os.ReadFile(unitFile)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"RequiresMountsFor=%f", "ExecStart=/usr/local/bin/sizewright serve --studio %f", "ReadWritePaths=%f"} {
		if !strings.Contains(string(unit), "\n"+line+"\n") {
			t.Errorf("the unit lacks %s", line)
		}
	}
	for line := range strings.Lines(string(unit)) {
		if !strings.HasPrefix(line, "#") && strings.Contains(line, "/srv") {
			t.Errorf("the unit names a studio: %s", line)
		}
	}
}

// Without the boot ID in /proc a killed daemon would be shown as running.
func TestTheUnitLeavesTheBootsIDToBeRead(t *testing.T) {
	unit, err := os.ReadFile(unitFile)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(unit), "\nProcSubset=pid\n") {
		t.Error("ProcSubset=pid hides /proc/sys/kernel/random/boot_id")
	}
}

// This is systemd's own measure: 0 means nothing is exposed, 10 everything.
func TestTheUnitExposesLittle(t *testing.T) {
	reference.Tool(t, "systemd-analyze")
	out := reference.Output(t, "systemd-analyze", "security", "--offline=true", "--no-pager", unitFile)
	m := regexp.MustCompile(`Overall exposure level for sizewright@[^ ]*.service: ([0-9.]+)`).FindStringSubmatch(out)
	if m == nil {
		t.Fatalf("systemd-analyze says no level:\n%s", out)
	}
	level, err := strconv.ParseFloat(m[1], 64)
	if err != nil || level > 2 {
		t.Errorf("exposure %v, %v; want at most 2.0", m[1], err)
	}
	t.Logf("exposure %v", level)
}

// The unit's filter allows every system call that a working daemon makes. No systemd runs
// where the tests run, so the daemon's calls are traced and compared with the filter.
func TestTheUnitsFilterLetsTheDaemonWork(t *testing.T) {
	reference.Tool(t, "systemd-analyze")
	reference.Tool(t, "strace")
	binary, dir := build(t), t.TempDir()
	studio, trace := filepath.Join(dir, "studio"), filepath.Join(dir, "trace")
	reference.Output(t, binary, "init", studio)
	dropPicture(t, filepath.Join(studio, "drop", "A4", "marsh.jpg"))
	cmd := exec.Command("strace", "-f", "-qq", "-o", trace, "-e", "signal=none", binary, "serve", "--studio", studio)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // no signal ends strace; the daemon gets the group's signals
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) })
	waitForReport(t, studio)
	if err := syscall.Kill(-cmd.Process.Pid, syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	allowed := allowedCalls(t)
	called := tracedCalls(t, trace)
	if len(called) < 20 {
		t.Fatalf("only %v were traced", called)
	}
	for _, name := range called {
		if !allowed[name] {
			t.Errorf("the daemon calls %s, which the unit's SystemCallFilter= refuses", name)
		}
	}
}

func dropPicture(t *testing.T, name string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := jpeg.Encode(f, checked(1680, 1120), nil); err != nil {
		t.Fatal(err)
	}
}

func waitForReport(t *testing.T, studio string) {
	t.Helper()
	for range 1200 {
		if _, err := os.Stat(filepath.Join(studio, "outbox", "morning", "latest.html")); err == nil {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatal("no morning report within two minutes")
}

// tracedCalls are the system calls of a trace, each once.
func tracedCalls(t *testing.T, trace string) []string {
	t.Helper()
	f, err := os.Open(trace)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	call := regexp.MustCompile(`^\d+ +(?:<\.\.\. )?([a-z_0-9]+)[( ]`)
	names := map[string]bool{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if m := call.FindStringSubmatch(lines.Text()); m != nil {
			names[m[1]] = true
		}
	}
	var all []string
	for name := range names {
		all = append(all, name)
	}
	slices.Sort(all)
	return all
}

// allowedCalls evaluates the unit's SystemCallFilter= lines as systemd.exec(5) describes: the
// first line refuses everything except what it names; "~" removes calls again.
func allowedCalls(t *testing.T) map[string]bool {
	t.Helper()
	unit, err := os.ReadFile(unitFile)
	if err != nil {
		t.Fatal(err)
	}
	allowed := map[string]bool{}
	add := func(words string, is bool) {
		for _, word := range strings.Fields(words) {
			for _, name := range expand(t, word) {
				allowed[name] = is
			}
		}
	}
	add("@default", true)
	for line := range strings.Lines(string(unit)) {
		filter, found := strings.CutPrefix(strings.TrimSpace(line), "SystemCallFilter=")
		if words, away := strings.CutPrefix(filter, "~"); away {
			add(words, false)
		} else if found {
			add(filter, true)
		}
	}
	return allowed
}

// expand returns the calls of a set and of the sets in it.
func expand(t *testing.T, word string) []string {
	t.Helper()
	if !strings.HasPrefix(word, "@") {
		return []string{word}
	}
	var all []string
	for line := range strings.Lines(reference.Output(t, "systemd-analyze", "syscall-filter", "--no-pager", word)) {
		if line = strings.TrimSpace(line); line != "" && line != word && !strings.HasPrefix(line, "#") {
			all = append(all, expand(t, line)...)
		}
	}
	return all
}

// build makes the program as it is shipped.
func build(t *testing.T) (binary string) {
	t.Helper()
	data, err := built()
	if err != nil {
		t.Fatal(err)
	}
	binary = filepath.Join(t.TempDir(), "sizewright")
	if err := os.WriteFile(binary, data, 0o755); err != nil {
		t.Fatal(err)
	}
	return binary
}

// built is the program's file, made once.
var built = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "sizewright-build-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "sizewright")
	cmd := exec.Command("go", "build", "-o", binary, ".")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("go build: %w\n%s", err, out)
	}
	return os.ReadFile(binary)
})
