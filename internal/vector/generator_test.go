package vector

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

func TestTheAssemblyIsWhatTheGeneratorWrites(t *testing.T) {
	// Read the files so that the go command caches the result only while they are unchanged.
	sources, err := filepath.Glob("_asm/*")
	if err != nil || len(sources) == 0 {
		t.Fatal("the generator is missing", err)
	}
	for _, name := range sources {
		if _, err := os.ReadFile(name); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := goCommand("_asm", "mod", "download").CombinedOutput(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("the generator's modules must be available in CI: %v\n%s", err, out)
		}
		t.Skipf("the generator's modules are not available: %v\n%s", err, out)
	}
	dir := t.TempDir()
	run := filepath.Join(dir, "_asm", "generator")
	if out, err := goCommand("_asm", "build", "-o", run, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	// The same command as in doc.go; it is also in the first line of the files.
	names := []string{"vector_amd64.s", "stubs_amd64.go"}
	generate := exec.Command(run, "-out", "../"+names[0], "-stubs", "../"+names[1], "-pkg", "vector")
	generate.Dir = filepath.Dir(run)
	if out, err := generate.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, name := range names {
		got, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if want, err := os.ReadFile(name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the generator writes (%v); run go generate", name, err)
		}
	}
}

// The compiler fuses on arm64 unless a conversion forbids it; see the package comment.
func TestNoPlainLoopHasAFusedMultiplyAdd(t *testing.T) {
	build := goCommand(".", "build", "-gcflags=-S", ".")
	build.Env = append(build.Env, "GOARCH=arm64", "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if !bytes.Contains(out, []byte("FMULS")) || !bytes.Contains(out, []byte("FADDS")) {
		t.Fatal("the listing has no products and sums, so it is not of the loops")
	}
	for line := range bytes.Lines(out) {
		for _, fused := range []string{"FMADD", "FMSUB", "FNMADD", "FNMSUB"} {
			if bytes.Contains(line, []byte(fused)) {
				t.Errorf("fused: %s", line)
			}
		}
	}
}

// goCommand runs the go command in dir, with only the modules of dir.
func goCommand(dir string, args ...string) *exec.Cmd {
	c := exec.Command("go", args...)
	c.Dir = dir
	c.Env = append(os.Environ(), "GOWORK=off", "GOFLAGS=")
	return c
}
