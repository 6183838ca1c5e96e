package photo

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// memfd is an empty file of memory.
func memfd(t testing.TB) *os.File {
	t.Helper()
	fd, err := unix.MemfdCreate("test", unix.MFD_CLOEXEC)
	if err != nil {
		t.Fatal(err)
	}
	f := os.NewFile(uintptr(fd), "test")
	t.Cleanup(func() { f.Close() })
	return f
}

// sameShared holds a picture against itself come through a file of memory. Every
// picture that the tests open goes through it.
func sameShared(t *testing.T, path string, want *Photo) {
	t.Helper()
	again, err := Open(path, DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	mem := memfd(t)
	if err := Share(mem, again, nil); err != nil {
		t.Fatal(err)
	}
	got, err := Adopt(mem, false)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Close()
	if !reflect.DeepEqual(got.Info, want.Info) || got.ycc != want.ycc || !reflect.DeepEqual(got.planes, want.planes) {
		t.Errorf("%s is another picture once shared", filepath.Base(path))
	}
}

// An adopted picture whose holder forgets to close it is collected, and not before
// its last row is read.
func TestAnAdoptedPictureIsCollected(t *testing.T) {
	path := marshFile(t, t.TempDir(), 300, 200)
	mem := memfd(t)
	p := open(t, path)
	want := pixels(p)
	if err := Share(mem, open(t, path), nil); err != nil {
		t.Fatal(err)
	}
	adopted, err := Adopt(mem, false)
	if err != nil {
		t.Fatal(err)
	}
	runtime.GC()
	if d, _ := difference(t, pixels(adopted), want); d != 0 {
		t.Errorf("differs by %g", d)
	}
	adopted = nil
	for range 1000 { // cleanups run in a goroutine of their own
		runtime.GC()
		if !strings.Contains(string(readFile(t, "/proc/self/maps")), "memfd:test") {
			return
		}
		runtime.Gosched()
	}
	t.Error("its memory is still there")
}

// Memory that was handed over is given back, page by page and no byte beside them.
func TestSharedMemoryIsGivenBack(t *testing.T) {
	page := os.Getpagesize()
	b := make([]byte, 6*page)
	for i := range b {
		b[i] = 1
	}
	from, to := page/2, 4*page+page/2
	advise(b[from:to], unix.MADV_DONTNEED)
	zeros := 0
	for i, v := range b {
		if v == 0 {
			zeros++
			if i < from || i >= to {
				t.Fatalf("byte %d is gone, of %d to %d", i, from, to)
			}
		}
	}
	if zeros != 3*page {
		t.Errorf("%d bytes given back, want three pages", zeros)
	}
	advise(b[:page/3], unix.MADV_DONTNEED) // less than a page
	advise(nil, unix.MADV_DONTNEED)
}

// What no [Share] wrote is refused: too short, cut, or of planes that lie outside.
func TestNonsenseIsNotAdopted(t *testing.T) {
	report := func(text string) string {
		return text + string(binary.BigEndian.AppendUint64(nil, uint64(len(text))))
	}
	plane := `{"At":0,"Length":16,"Stride":4,"Step":1,"Width":4,"Height":4,"SubX":1,"SubY":1}`
	grey := func(change ...string) string {
		return "0123456789abcdef" + report(`{"Info":{"Model":"grey","Width":4,"Height":4},"Planes":[`+strings.NewReplacer(change...).Replace(plane)+`]}`)
	}
	tests := map[string]string{
		"empty": "", "short": "abc", "no report": strings.Repeat("seaweed", 9), "no JSON": report("seaweed"),
		"another form": report(`{"Planes":[],"Weed":1}`), "no plane": report(`{"Info":{"Model":"grey"}}`),
		"cut":       grey()[4:],
		"before":    grey(`"At":0`, `"At":-1`),
		"too long":  grey(`"Length":16`, `"Length":17`),
		"too high":  grey(`"Height":4`, `"Height":5`),
		"too wide":  grey(`"Width":4`, `"Width":5`),
		"overflow":  grey(`"Height":4`, `"Height":4611686018427387904`),
		"backwards": grey(`"Stride":4`, `"Stride":-4`),
		"no pixels": grey(`"Width":4`, `"Width":0`),
		"no step":   grey(`"Step":1`, `"Step":0`),
		"far off":   grey(`"SubX":1`, `"SubX":1,"OffX":1000000`),
		"coarse":    grey(`"SubX":1`, `"SubX":0`),
		"too small": grey(`"Width":4`, `"Width":3`),
		"too fine":  grey(`"Width":4,"Height":4,"SubX":1`, `"Width":2,"Height":4,"SubX":2`),
	}
	for name, content := range tests {
		mem := memfd(t)
		mem.WriteString(content)
		if p, err := Adopt(mem, false); err == nil {
			t.Errorf("%s: adopted as %+v", name, p.Info)
		}
	}
	mem := memfd(t)
	mem.WriteString(grey())
	if _, err := Adopt(mem, false); err != nil {
		t.Errorf("as it should be: %v", err)
	}
}
