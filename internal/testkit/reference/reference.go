// Package reference is for tests. It gives access to the programs and published data that
// sizewright's results are checked against. A missing program fails the test in CI (the
// environment variable CI is set) and skips it elsewhere.
package reference

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Tool returns the path of a reference program.
func Tool(t testing.TB, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v; scripts/test.sh installs it", name, err)
		}
		t.Skipf("%s is not installed; scripts/test.sh installs it", name)
	}
	return p
}

// Output runs a reference program and returns its standard output and error. It fails the
// test if the program fails.
func Output(t testing.TB, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(Tool(t, name), args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// ModuleDir returns the source directory of a module that go.mod requires.
func ModuleDir(t testing.TB, module string) string {
	t.Helper()
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
	if err != nil {
		t.Fatalf("go list -m %s: %v", module, err)
	}
	return strings.TrimSpace(string(out))
}

// Schema compiles a JSON Schema. It also checks formats such as date-time.
func Schema(t testing.TB, data []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// PressProfile returns a CMYK profile of real press characterisation data, FOGRA39L of
// Debian's icc-profiles-free, made by ArgyllCMS colprof: an ICC v2 profile with lut16
// tables. Making it takes ten seconds, so a test process makes it once, and with the
// environment variable SIZEWRIGHT_TEST_CACHE, a directory, later processes find it there.
func PressProfile(t testing.TB) []byte {
	t.Helper()
	Tool(t, "colprof")
	data, err := press()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

var press = sync.OnceValues(func() ([]byte, error) {
	cache := os.Getenv("SIZEWRIGHT_TEST_CACHE")
	if cache == "" {
		return makePress()
	}
	kept := filepath.Join(cache, "press.icc")
	if data, err := os.ReadFile(kept); err == nil {
		return data, nil
	}
	data, err := makePress()
	if err != nil {
		return nil, err
	}
	partial := fmt.Sprintf("%s.%d", kept, os.Getpid())
	if err := os.WriteFile(partial, data, 0o644); err != nil {
		return nil, err
	}
	return data, os.Rename(partial, kept)
})

func makePress() ([]byte, error) {
	dir, err := os.MkdirTemp("", "press")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	data, err := os.ReadFile("/usr/share/color/icc/FOGRA39L.ti3")
	if err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(dir, "press.ti3"), data, 0o644); err != nil {
		return nil, err
	}
	cmd := exec.Command("colprof", "-ql", "-kz", "-al", "press")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("colprof: %v\n%s", err, out)
	}
	return os.ReadFile(filepath.Join(dir, "press.icc"))
}
