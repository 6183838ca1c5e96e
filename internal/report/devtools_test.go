package report

import (
	"bufio"
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// browser is one tab of a real browser, Debian's chromium, spoken to in the
// Chrome DevTools Protocol over a pipe: JSON messages, each ended by a zero byte.
type browser struct {
	testing.TB
	to      *os.File
	from    *os.File
	reader  *bufio.Reader
	session string
	last    int
	loaded  bool
	said    []string // errors and warnings in the console since the last visit
}

// needed is a tool that these tests cannot do without. Where it is not there
// they fail on a machine of continuous integration and are skipped elsewhere.
func needed(t testing.TB, what string, err error) {
	t.Helper()
	switch {
	case err == nil:
	case os.Getenv("CI") != "":
		t.Fatalf("%s is needed: %v", what, err)
	default:
		t.Skipf("%s is not here: %v", what, err)
	}
}

func newBrowser(t testing.TB) *browser {
	t.Helper()
	program, err := exec.LookPath("chromium")
	needed(t, "chromium", err)
	theirs, ours, err := os.Pipe()
	needed(t, "a pipe", err)
	answers, answer, err := os.Pipe()
	needed(t, "a pipe", err)
	home := t.TempDir()
	// No sandbox: it is not to be had in many a container, and every page is ours.
	cmd := exec.Command(program, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--remote-debugging-pipe",
		"--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--hide-scrollbars", "--user-data-dir="+home, "about:blank")
	cmd.ExtraFiles = []*os.File{theirs, answer} // descriptors 3 and 4
	cmd.Env = append(os.Environ(), "HOME="+home)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	theirs.Close()
	answer.Close()
	b := &browser{TB: t, to: ours, from: answers, reader: bufio.NewReader(answers)}
	t.Cleanup(func() {
		b.send("Browser.close", nil)
		ended := time.AfterFunc(10*time.Second, func() { cmd.Process.Kill() })
		cmd.Wait()
		ended.Stop()
		ours.Close()
		answers.Close()
	})
	var target struct{ TargetID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	b.session = attached.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log"} {
		b.call(domain+".enable", nil, nil)
	}
	return b
}

func (b *browser) send(method string, params any) {
	b.last++
	m := map[string]any{"id": b.last, "method": method}
	if params != nil {
		m["params"] = params
	}
	if b.session != "" {
		m["sessionId"] = b.session
	}
	data, err := json.Marshal(m)
	if err != nil {
		b.Fatal(err)
	}
	if _, err := b.to.Write(append(data, 0)); err != nil {
		b.Logf("%s: the browser does not listen: %v", method, err)
	}
}

// message is an answer, which has an ID, or an event.
type message struct {
	ID     int
	Method string
	Params json.RawMessage
	Result json.RawMessage
	Error  *struct{ Message string }
}

func (b *browser) receive() message {
	b.Helper()
	b.from.SetReadDeadline(time.Now().Add(3 * time.Minute))
	data, err := b.reader.ReadBytes(0)
	if err != nil {
		b.Fatalf("the browser says nothing more: %v", err)
	}
	var m message
	if err := json.Unmarshal(bytes.TrimSuffix(data, []byte{0}), &m); err != nil {
		b.Fatal(err)
	}
	b.note(m)
	return m
}

// note keeps what the page's console says.
func (b *browser) note(m message) {
	switch m.Method {
	case "Page.loadEventFired":
		b.loaded = true
	case "Runtime.exceptionThrown":
		b.said = append(b.said, string(m.Params))
	case "Runtime.consoleAPICalled":
		var call struct{ Type string }
		json.Unmarshal(m.Params, &call)
		if call.Type == "error" || call.Type == "warning" || call.Type == "assert" {
			b.said = append(b.said, string(m.Params))
		}
	case "Log.entryAdded":
		var added struct{ Entry struct{ Level, Text string } }
		json.Unmarshal(m.Params, &added)
		if added.Entry.Level == "error" || added.Entry.Level == "warning" {
			b.said = append(b.said, added.Entry.Text)
		}
	}
}

// call asks and waits for the answer, which goes into result if that is not nil.
func (b *browser) call(method string, params, result any) {
	b.Helper()
	b.send(method, params)
	for want := b.last; ; {
		m := b.receive()
		if m.ID != want {
			continue
		}
		if m.Error != nil {
			b.Fatalf("%s: %s", method, m.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(m.Result, result); err != nil {
				b.Fatalf("%s: %v in %s", method, err, m.Result)
			}
		}
		return
	}
}

// visit opens a file and waits until all of it is there.
func (b *browser) visit(file string) {
	b.Helper()
	b.loaded, b.said = false, nil
	b.call("Page.navigate", map[string]any{"url": fileURL(file)}, nil)
	for !b.loaded {
		b.receive()
	}
}

// eval runs a script in the page. A promise is waited for.
func (b *browser) eval(script string, result any) {
	b.Helper()
	var answer struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails json.RawMessage
	}
	b.call("Runtime.evaluate", map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true}, &answer)
	if answer.ExceptionDetails != nil {
		b.Fatalf("%.200s: %.2000s", script, answer.ExceptionDetails)
	}
	if result != nil {
		if err := json.Unmarshal(answer.Result.Value, result); err != nil {
			b.Fatalf("%.200s: %v in %s", script, err, answer.Result.Value)
		}
	}
}

// screen sets the width and height in px, and light or dark, screen or print.
func (b *browser) screen(width, height int, scheme, media string) {
	b.Helper()
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600}, nil)
	b.call("Emulation.setEmulatedMedia", map[string]any{"media": media, "features": []any{map[string]any{"name": "prefers-color-scheme", "value": scheme}}}, nil)
}

// shot keeps the whole page as a PNG where MORNING_SHOTS says, if it does.
func (b *browser) shot(name string) { b.capture(name, true) }

// first keeps what is on the screen.
func (b *browser) first(name string) { b.capture(name, false) }

func (b *browser) capture(name string, whole bool) {
	b.Helper()
	dir := os.Getenv("MORNING_SHOTS")
	if dir == "" {
		return
	}
	if whole { // what is far down is painted only as it comes into sight
		b.eval(`document.querySelectorAll(".print").forEach(e => e.style.contentVisibility = "visible")`, nil)
	}
	var got struct{ Data string }
	b.call("Page.captureScreenshot", map[string]any{"captureBeyondViewport": whole}, &got)
	b.keep(filepath.Join(dir, name+".png"), got.Data)
}

func (b *browser) keep(file, data string) {
	raw, err := base64.StdEncoding.DecodeString(data)
	if err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(file, raw, 0o666); err != nil {
		b.Fatal(err)
	}
}

// press is a key, down and up.
func (b *browser) press(key string, code int) {
	b.Helper()
	text := map[string]string{"Enter": "\r"}[key]
	for _, kind := range []string{"keyDown", "keyUp"} {
		b.call("Input.dispatchKeyEvent", map[string]any{"type": kind, "key": key, "code": key, "text": text, "windowsVirtualKeyCode": code}, nil)
	}
}

// quiet fails if the page's console said anything.
func (b *browser) quiet() {
	b.Helper()
	for _, s := range b.said {
		b.Errorf("the console: %.600s", s)
	}
}

// wide is how far the page goes beyond the screen's side, px.
func (b *browser) wide() string {
	b.Helper()
	var over struct {
		Page  int
		Which []string
	}
	b.eval(`({page: document.documentElement.scrollWidth - document.documentElement.clientWidth,
		which: [...document.querySelectorAll("body *")].filter(e => !e.closest(".wide") && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.tagName + "." + e.className).slice(0, 5)})`, &over)
	if over.Page <= 0 && len(over.Which) == 0 {
		return ""
	}
	return fmt.Sprintf("%d px too wide: %q", over.Page, over.Which)
}
