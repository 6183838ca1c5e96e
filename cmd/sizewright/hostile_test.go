package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image/jpeg"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"golang.org/x/sys/unix"

	"sizewright/internal/colour"
	"sizewright/internal/plaintext"
)

// hostile names try what a name can do to a reader: control the terminal, reverse the
// writing direction, hide characters, begin a line that looks like the program's own, and
// contain bytes that are not text. The second is valid UTF-8, so that JSON can hold it.
const (
	forged      = "error: all prints were lost"
	hostile     = "a\x1b]0;owned\a\u202egpj\u2066\u200f\U000e0041\u009b2J\r\u2028\n" + forged + "\n\xff.jpg"
	hostileText = "b\x1b[2J\u202egpj\u2069\u061c\U000e0041\u0085\n" + forged + "\n.jpg"
)

// sizewright runs the command as a person would type it, in a process of its own. Any exit
// status is accepted; only a command that cannot be run is an error.
func sizewright(t *testing.T, dir string, args ...string) (stdout, stderr string) {
	t.Helper()
	cmd := command(t, dir, args...)
	var out, err bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &err
	if fault := cmd.Run(); cmd.ProcessState == nil || cmd.ProcessState.ExitCode() < 0 {
		t.Fatal(fault)
	}
	return out.String(), err.String()
}

func command(t *testing.T, dir string, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, args...)
	cmd.Args[0] = "sizewright" // TestMain looks at this
	cmd.Dir = dir
	return cmd
}

// readable checks that a text has no control characters and that no line of it begins with a
// name. The control characters of a progress line are the program's own.
func readable(t *testing.T, what, text string) {
	t.Helper()
	for i, r := range text {
		if r != '\n' && r != '\t' && (!plaintext.Safe(r) || r == utf8.RuneError && text[i] != '\xef') {
			t.Errorf("%s: %q at %d of %q", what, r, i, text[max(i-40, 0):min(i+40, len(text))])
			return
		}
	}
	if strings.Contains("\n"+text, "\n"+forged) {
		t.Errorf("%s: a name has begun a line of its own: %q", what, text)
	}
}

// UAX #9; Boucher and Anderson, "Trojan Source" (2021).
func TestNoCommandLetsANameSteerTheTerminal(t *testing.T) {
	dir := t.TempDir()
	studio, file, missing := filepath.Join(dir, hostile), filepath.Join(dir, hostileText), filepath.Join(dir, "no "+hostile)
	profile := filepath.Join(dir, "paper "+hostileText+".icc")
	small := jpegData(t, 300, 200)
	writeFiles(t, map[string][]byte{file: small, profile: colour.SRGBProfile(), filepath.Join(dir, "many", hostile): small,
		filepath.Join(dir, "many", hostileText): small, filepath.Join(dir, "many", "broken "+hostile): small[:len(small)/2]})
	says := func(args ...string) string {
		t.Helper()
		out, err := sizewright(t, dir, args...)
		if out+err == "" {
			t.Errorf("%q says nothing", args)
		}
		readable(t, fmt.Sprintf("%q", args), out+err)
		return out
	}
	tells := func(name string, args ...string) {
		t.Helper()
		out := says(args...)
		var value any
		if err := json.Unmarshal([]byte(out), &value); err != nil || !holds(value, name) {
			t.Errorf("%q does not tell the true name %q: %v", args, name, err)
		}
	}
	says("init", studio)
	says("init", studio)
	writeFiles(t, map[string][]byte{
		filepath.Join(studio, "sizewright.toml"):              []byte(hostileSettings),
		filepath.Join(studio, "drop", "20x30mm", hostile):     jpegData(t, 360, 240),
		filepath.Join(studio, "drop", "20x30mm", hostileText): jpegData(t, 364, 240),
		filepath.Join(studio, "drop", "A2", hostile):          small,
		filepath.Join(studio, "drop", "A2", hostileText):      small,
		filepath.Join(studio, "drop", "A4", hostileText):      []byte("no picture\n"),
		filepath.Join(studio, "drop", "A3", hostile):          append([]byte(nil), jpegData(t, 500, 500)[:9000]...),
		filepath.Join(studio, "drop", "A9 "+hostile, "x.jpg"): small,
		filepath.Join(studio, "drop", hostile):                small,
	})
	if err := os.Symlink("/", filepath.Join(studio, "drop", "A4", "link "+hostile)); err != nil {
		t.Fatal(err)
	}
	says("check", "--studio", studio)
	says("status", "--studio", studio)
	tells(hostileText, "once", "--studio", studio, "--json")
	says("once", "--studio", studio)
	says("status", "--studio", studio)
	says("status", "--studio", studio, "--json")
	says("plan", file, "A2")
	says("plan", file, "20x30mm", "--studio", studio)
	says("plan", file, "A2", "--json")
	says("ladder", file)
	tells(hostileText, "ladder", file, "--json")
	says("ladder", filepath.Join(dir, "many"))
	says("ladder", file, "--plot", filepath.Join(dir, hostileText+".svg"))
	says("strip", file, "20x30mm")
	says("strip", file, "20x30mm", "--out", filepath.Join(dir, hostile+".tif"))
	says("gamut", file, "--profile", profile)
	says("gamut", file, "--profile", file)
	says("morning", "--studio", studio)
	says("morning", "--studio", studio, "--picture", hostile)
	says("morning", "--studio", studio, "--picture", "no "+hostile)
	says("demo", file)
	for _, args := range [][]string{{"plan", missing, "A2"}, {"plan", file, hostile}, {"ladder", missing}, {"strip", missing, "A2"}, {"strip", file, "A2", "--at", hostile},
		{"strip", file, "A2", "--out", hostile}, {"gamut", missing, "--profile", profile}, {"gamut", file, "--profile", missing}, {"gamut", file, "--stock", hostile},
		{"gamut", file, "--map", hostile}, {"morning", "--studio", missing}, {"morning", "--studio", studio, "--since", hostile}, {"check", "--studio", missing},
		{"status", "--studio", missing}, {"once", "--studio", missing}, {"serve", "--studio", missing}, {"init", filepath.Join(file, hostile)}, {"demo", filepath.Join(file, hostile)},
		{hostile}, {"--" + hostile}, {"plan", "-" + hostile}, {"help", hostile}, {"ladder", file, "--distance", hostile}, {"plan", hostile}} {
		says(args...)
	}
	filesAreReadable(t, dir)

	writeFiles(t, map[string][]byte{filepath.Join(studio, "sizewright.toml"): []byte("[print]\npip = 3\n[\"stock\x7f\"]\nppi = 3\n")})
	says("check", "--studio", studio)
	says("once", "--studio", studio)
}

// On a terminal there are a progress line and a log for people; both contain names.
func TestNoNameSteersTheTerminalOfWhoeverWatches(t *testing.T) {
	studio := filepath.Join(t.TempDir(), "studio "+hostileText)
	sizewright(t, ".", "init", studio)
	fill := func() {
		writeFiles(t, map[string][]byte{
			filepath.Join(studio, "sizewright.toml"):          []byte(hostileSettings),
			filepath.Join(studio, "drop", "20x30mm", hostile): jpegData(t, 360, 240),
			filepath.Join(studio, "drop", "A2", hostileText):  jpegData(t, 300, 200),
			filepath.Join(studio, "drop", hostile):            jpegData(t, 300, 200),
		})
	}
	fill()
	// The terminal's line ends and our own control sequences do not count.
	ours := strings.NewReplacer("\r\n", "\n", "\x1b[K", "", "\r", "\n")
	said := ours.Replace(onTerminal(t, command(t, ".", "once", "--studio", studio), func() bool { return false }))
	if !strings.Contains(said, "held: ") || !strings.Contains(said, " px") {
		t.Errorf("once shows no progress: %q", said)
	}
	readable(t, "once on a terminal", said)
	fill()
	said = ours.Replace(onTerminal(t, command(t, ".", "serve", "--studio", studio), func() bool {
		left, err := os.ReadDir(filepath.Join(studio, "drop", "A2"))
		return err == nil && len(left) == 0
	}))
	if !strings.Contains(said, "lies in no drop folder") || !strings.Contains(said, "1 of 2  ") {
		t.Errorf("serve logs nothing: %q", said)
	}
	readable(t, "serve on a terminal", said)
}

// hostileSettings make small prints quickly, on paper, with a caption.
const hostileSettings = `[intake]
settle = "20ms"
[print]
ppi = 100
media = ["sheet"]
caption = "{name}"
[media.sheet]
kind = "sheet"
width_mm = 200
length_mm = 200
`

// onTerminal runs a command with a terminal as its standard error until it ends, or until
// done, when it is stopped. It returns what the command wrote there.
func onTerminal(t *testing.T, cmd *exec.Cmd, done func() bool) string {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	n, err := unix.IoctlGetInt(int(master.Fd()), unix.TIOCGPTN)
	if err == nil {
		err = unix.IoctlSetPointerInt(int(master.Fd()), unix.TIOCSPTLCK, 0)
	}
	if err != nil {
		t.Fatal(err)
	}
	slave, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stderr = slave
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	slave.Close()
	said := make(chan string)
	go func() {
		text, _ := io.ReadAll(master) // ends with EIO when the command has ended
		said <- string(text)
	}()
	go func() {
		for range 600 {
			time.Sleep(50 * time.Millisecond)
			if done() {
				time.Sleep(200 * time.Millisecond)
				_ = cmd.Process.Signal(syscall.SIGTERM)
				return
			}
		}
	}()
	text := <-said
	_ = cmd.Wait() // something was held
	return text
}

// filesAreReadable checks every text that the program wrote for people and programs.
func filesAreReadable(t *testing.T, dir string) {
	t.Helper()
	kinds := map[string]int{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		kind := filepath.Ext(path)
		if err != nil || !e.Type().IsRegular() || !strings.Contains(".txt .json .svg .html", kind) || kind == "" {
			return err
		}
		kinds[kind]++
		data, err := os.ReadFile(path)
		readable(t, path, string(data))
		switch kind {
		case ".json":
			if !json.Valid(data) {
				t.Errorf("%q is no JSON", path)
			}
		case ".svg":
			if err := xml.Unmarshal(data, new(any)); err != nil {
				t.Errorf("%q is no XML: %v", path, err)
			}
		case ".txt":
			if strings.Count(string(data), "\n") != 1 {
				t.Errorf("%q is not one line: %q", path, data)
			}
		}
		return err
	})
	if err != nil || kinds[".txt"] < 3 || kinds[".json"] < 5 || kinds[".svg"] < 2 || kinds[".html"] < 3 {
		t.Errorf("looked at %v, %v", kinds, err)
	}
}

// holds reports whether a text is anywhere in a JSON value.
func holds(value any, text string) bool {
	switch v := value.(type) {
	case string:
		return v == text
	case []any:
		for _, x := range v {
			if holds(x, text) {
				return true
			}
		}
	case map[string]any:
		for _, x := range v {
			if holds(x, text) {
				return true
			}
		}
	}
	return false
}

func writeFiles(t *testing.T, files map[string][]byte) {
	t.Helper()
	for path, data := range files {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func jpegData(t *testing.T, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, checked(w, h), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
