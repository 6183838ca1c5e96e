package demo

import (
	"bytes"
	"context"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"sizewright/internal/testkit/reference"
	"testing"
)

// tool runs a program of the trade from PATH and returns what it prints. Where it is missing the test fails
// under CI and is skipped elsewhere.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	var complaint bytes.Buffer
	cmd := exec.Command(reference.Tool(t, name), args...)
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %q: %v\n%s%s", name, args, err, out, &complaint)
	}
	return out
}

// named finds a picture of the set.
func named(t *testing.T, name string) Picture {
	t.Helper()
	for _, p := range Pictures() {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no picture is called %s", name)
	return Picture{}
}

// gallery is where written keeps its files.
var gallery string

func TestMain(m *testing.M) {
	os.Exit(func() int {
		var err error
		if gallery, err = os.MkdirTemp("", "demo-pictures"); err != nil {
			panic(err)
		}
		defer os.RemoveAll(gallery)
		return m.Run()
	}())
}

// written is the path of a picture's file, written once at 1/16 of its size. It is not to be changed.
func written(t *testing.T, p Picture) string {
	t.Helper()
	path := filepath.Join(gallery, p.Name)
	if _, err := os.Stat(path); err == nil {
		return path
	}
	if err := p.Reduced(16).Write(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	return path
}

// fresh is the bytes of a picture's file at 1/by of its size, painted anew.
func fresh(t *testing.T, p Picture, by int) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), p.Name)
	if err := p.Reduced(by).Write(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// decoded reads a picture file through the standard decoders.
func decoded(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// looked is written, decoded.
func looked(t *testing.T, p Picture) image.Image {
	t.Helper()
	data, err := os.ReadFile(written(t, p))
	if err != nil {
		t.Fatal(err)
	}
	return decoded(t, data)
}

// painted paints layers on a grey-ramped 16-bit plate with a camera that adds nothing but its lens.
func painted(t *testing.T, f frame, layers ...layer) *image.RGBA64 {
	t.Helper()
	img := image.NewRGBA64(image.Rect(0, 0, f.w, f.h))
	plain := look{space: linearSpace, exposure: 1, contrast: 1}
	if err := render(context.Background(), f, layers, developer(f, plain, deepPlate{img})); err != nil {
		t.Fatal(err)
	}
	return img
}

// flat is an even field of grey.
func flat(grey float32) field {
	return func(float32) func(float32, rgb) rgb {
		return func(float32, rgb) rgb { return rgb{grey, grey, grey} }
	}
}
