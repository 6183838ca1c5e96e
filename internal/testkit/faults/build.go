//go:build linux

package faults

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// Build builds the daemon into dir, from the module of the working directory, and returns
// its path.
func Build(dir string) (string, error) { return build(filepath.Join(dir, "sizewright")) }

func build(to string, flags ...string) (string, error) {
	cmd := exec.Command("go", append(append([]string{"build", "-o", to}, flags...), "sizewright/cmd/sizewright")...)
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("building sizewright: %w\n%s", err, out)
	}
	return to, os.Chmod(to, 0o755)
}

// skewEnv names a file that holds the error of the clock in seconds.
const skewEnv = "SIZEWRIGHT_FAULTS_CLOCK"

const skewer = `package main

import ("os"; "strconv"; "strings"; "time")

func init() {
	go func() {
		for {
			data, _ := os.ReadFile(os.Getenv("` + skewEnv + `"))
			time.Skew, _ = strconv.ParseInt(strings.TrimSpace(string(data)), 10, 64)
			time.Sleep(5 * time.Millisecond)
		}
	}()
}
`

// buildSkewed builds the same daemon with a clock that can be moved while it runs. Its
// time.Now adds the value in a file to the wall clock, and nothing to the monotonic clock,
// as when a system's clock is set. A Go program asks the kernel without the C library, so
// replacing functions of that library has no effect, and a test must not set the machine's
// own clock.
func buildSkewed(dir string) (string, error) {
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return "", fmt.Errorf("go env: %w", err)
	}
	module, err := exec.Command("go", "list", "-f", "{{.Dir}}", "sizewright/cmd/sizewright").Output()
	if err != nil {
		return "", fmt.Errorf("go list: %w", err)
	}
	clock := filepath.Join(strings.TrimSpace(string(goroot)), "src", "time", "time.go")
	source, err := os.ReadFile(clock)
	if err != nil {
		return "", err
	}
	const from, to = "func Now() Time {\n\tsec, nsec, mono := runtimeNow()\n", "\tsec += Skew\n"
	skewed := strings.Replace(string(source), from, from+to, 1)
	if skewed == string(source) {
		return "", fmt.Errorf("%s has changed since Go 1.26; see how time.Now reads the clock, and adapt internal/testkit/faults/build.go", clock)
	}
	files := map[string]string{
		clock: skewed + "\n// Skew is the error of the clock in seconds.\nvar Skew int64\n",
		filepath.Join(strings.TrimSpace(string(module)), "zz_skew.go"): skewer,
	}
	overlay := struct{ Replace map[string]string }{map[string]string{}}
	for path, text := range files {
		copied := filepath.Join(dir, filepath.Base(path))
		if err := os.WriteFile(copied, []byte(text), 0o644); err != nil {
			return "", err
		}
		overlay.Replace[path] = copied
	}
	data, err := json.Marshal(overlay)
	if err != nil {
		return "", err
	}
	list := filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(list, data, 0o644); err != nil {
		return "", err
	}
	return build(filepath.Join(dir, "sizewright-skewed"), "-overlay", list)
}
