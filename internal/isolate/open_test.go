package isolate

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/testkit/reference"
)

func TestMain(m *testing.M) {
	misbehave() // as the test asks
	if Main() {
		tellPeak()
		return
	}
	if path := os.Getenv(parentOf); path != "" {
		beParent(path)
		return
	}
	os.Exit(m.Run())
}

// A child decodes the same bits as this process, for every format, storage layout and
// orientation.
func TestAPictureIsTheSameFromAnotherProcess(t *testing.T) {
	paths := pictures(t)
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) { sameApart(t, path) })
	}
	if len(paths) < 25 {
		t.Errorf("only %d pictures", len(paths))
	}
}

func sameApart(t *testing.T, path string) {
	t.Helper()
	want, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	got, err := Open(t.Context(), path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	defer got.Close()
	if !reflect.DeepEqual(got.Info, want.Info) {
		t.Errorf("says %+v, want %+v", got.Info, want.Info)
	}
	if got.Fingerprint() != want.Fingerprint() {
		t.Error("its fingerprint differs")
	}
	gotGrids, gotApart := got.YCC()
	wantGrids, wantApart := want.YCC()
	if gotGrids != wantGrids || gotApart != wantApart {
		t.Errorf("its planes are %+v, want %+v", gotGrids, wantGrids)
	}
	sameRows(t, got, want)
}

func sameRows(t *testing.T, got, want *photo.Photo) {
	t.Helper()
	a, b := rows(want.Channels(), want.Width), rows(want.Channels(), want.Width)
	for y := range want.Height {
		got.Row(y, a)
		want.Row(y, b)
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("row %d differs", y)
		}
	}
}

func rows(channels, width int) [][]float32 {
	r := make([][]float32, channels)
	for c := range r {
		r[c] = make([]float32, width)
	}
	return r
}

// Both processes reject a file with the same message.
func TestARefusalIsTheSameFromAnotherProcess(t *testing.T) {
	dir := t.TempDir()
	whole := read(t, marsh(t, dir))
	files := map[string][]byte{
		"empty.jpg": nil, "text.jpg": []byte("a list of sizes\n"), "cut.png": whole[:len(whole)/2],
		"spoilt.png": slices.Concat(whole[:len(whole)/2], []byte("seaweed"), whole[len(whole)/2:]),
		"raw.cr3":    []byte("\x00\x00\x00\x18ftypcrx \x00"), "\xff\xfe no text.tif": []byte("II*\x00\xff\xff\xff\x7f"),
		"header.jpg": []byte("\xff\xd8\xff"),
	}
	var paths []string
	for name, b := range files {
		paths = append(paths, write(t, filepath.Join(dir, name), b))
	}
	link := filepath.Join(dir, "link.png")
	if err := os.Symlink(paths[0], link); err != nil {
		t.Fatal(err)
	}
	for _, path := range append(paths, link, dir, filepath.Join(dir, "gone.jpg")) {
		_, want := photo.Open(path, photo.DefaultLimits())
		_, got := Open(t.Context(), path, photo.DefaultLimits())
		if fault(t, got) != fault(t, want) {
			t.Errorf("%q: %v, want %v", filepath.Base(path), got, want)
		}
	}
}

// fault returns all fields of an error about a picture.
func fault(t *testing.T, err error) string {
	t.Helper()
	var e *photo.Error
	if !errors.As(err, &e) {
		t.Errorf("%v is not about the picture", err)
		return ""
	}
	return fmt.Sprintf("%q %q %q %v", e.Code, e.Text, e.Remedy, e.Err)
}

// The caller's limits are the child's.
func TestLimitsGoAlong(t *testing.T) {
	lim := photo.DefaultLimits()
	lim.MaxPixels = 100
	if _, err := Open(t.Context(), marsh(t, t.TempDir()), lim); !errors.Is(err, photo.TooLarge) {
		t.Errorf("got %v", err)
	}
}

// pictures writes a picture in every storage layout.
func pictures(t *testing.T) (paths []string) {
	dir := t.TempDir()
	base := marsh(t, dir)
	paths = append(paths, base)
	convert := func(name string, args ...string) string {
		path := filepath.Join(dir, name)
		reference.Output(t, "convert", slices.Concat([]string{base}, args, []string{path})...)
		paths = append(paths, path)
		return path
	}
	for _, s := range []string{"1x1", "2x2", "2x1", "1x2", "4x1"} {
		convert(s+".jpg", "-depth", "8", "-sampling-factor", s)
	}
	convert("progressive.jpg", "-depth", "8", "-interlace", "JPEG")
	convert("grey.jpg", "-depth", "8", "-colorspace", "Gray")
	convert("inks.jpg", "-depth", "8", "-colorspace", "CMYK")
	for _, suffix := range []string{"tif", "png"} {
		for _, depth := range []string{"8", "16"} {
			convert("rgb"+depth+"."+suffix, "-depth", depth)
			convert("grey"+depth+"."+suffix, "-depth", depth, "-colorspace", "Gray")
			convert("alpha"+depth+"."+suffix, "-depth", depth, "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel")
		}
	}
	convert("palette.png", "-colors", "64", "-type", "Palette")
	convert("inks.tif", "-depth", "8", "-colorspace", "CMYK")
	convert("rgb16.psb", "-depth", "16")
	convert("inks8.psd", "-depth", "8", "-colorspace", "CMYK")
	convert("tiled.tif", "-depth", "16", "-define", "tiff:tile-geometry=32x32")
	convert("jpegs.tif", "-depth", "8", "-compress", "JPEG", "-define", "tiff:rows-per-strip=16")
	convert("planar.tif", "-depth", "16", "-interlace", "Plane")
	convert("two pages.tif", base)
	convert("not a.png.tif", "-depth", "8")
	paths = append(paths, write(t, filepath.Join(dir, "misnamed.png"), read(t, filepath.Join(dir, "2x2.jpg"))))
	for o := 2; o <= 8; o++ {
		for _, name := range []string{"2x2.jpg", "rgb16.tif", "alpha8.png"} {
			path := write(t, filepath.Join(dir, fmt.Sprint(o, name)), read(t, filepath.Join(dir, name)))
			paths = append(paths, path)
		}
		reference.Output(t, "exiftool", "-q", "-n", "-overwrite_original", fmt.Sprint("-Orientation=", o),
			paths[len(paths)-1], paths[len(paths)-2], paths[len(paths)-3])
	}
	return paths
}

// marsh is a generated picture of odd sides.
func marsh(t testing.TB, dir string) string {
	t.Helper()
	img := image.NewNRGBA64(image.Rect(0, 0, 131, 77))
	for y := range 77 {
		for x := range 131 {
			img.SetNRGBA64(x, y, color.NRGBA64{R: uint16(500 * x), G: uint16(850 * y), B: uint16(9000 * (x % 7)), A: 0xffff})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return write(t, filepath.Join(dir, "marsh.png"), b.Bytes())
}

func write(t testing.TB, path string, b []byte) string {
	t.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func read(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Cancelling the context ends a child at once, and is not reported as the picture's fault.
func TestAContextEndsTheChild(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	misbehaving(t, "hang")
	path := marsh(t, t.TempDir())
	done := make(chan error, 1)
	go func() { _, err := Open(ctx, path, photo.DefaultLimits()); done <- err }()
	stop()
	var bad *hold.Hold
	if err := <-done; !errors.Is(err, context.Canceled) || errors.As(err, &bad) {
		t.Errorf("got %v", err)
	}
}

// BenchmarkOpen decodes 26 megapixels in this process and in a child, and measures elapsed
// time and processor time, including the child's.
func BenchmarkOpen(b *testing.B) {
	path := benchmarkPicture(b)
	for _, bb := range []struct {
		name string
		open func() (*photo.Photo, error)
	}{
		{"here", func() (*photo.Photo, error) { return photo.Open(path, photo.DefaultLimits()) }},
		{"in a child", func() (*photo.Photo, error) { return Open(b.Context(), path, photo.DefaultLimits()) }},
	} {
		b.Run(bb.name, func(b *testing.B) {
			before := cpu()
			for b.Loop() {
				p, err := bb.open()
				if err != nil {
					b.Fatal(err)
				}
				p.Close()
			}
			b.ReportMetric(float64(cpu()-before)/1e6/float64(b.N), "cpu-ms/op")
		})
	}
	most, err := peak(b, path)
	if err != nil {
		b.Fatal(err)
	}
	b.Logf("a child takes %d MiB at most", most>>20)
}

// cpu returns the processor time of this process and its ended children.
func cpu() (sum time.Duration) {
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var use syscall.Rusage
		if err := syscall.Getrusage(who, &use); err != nil {
			panic(err)
		}
		sum += time.Duration(use.Utime.Nano() + use.Stime.Nano())
	}
	return sum
}

// benchmarkPicture returns the file named by PHOTO, or a generated one.
func benchmarkPicture(b *testing.B) string {
	if path := os.Getenv("PHOTO"); path != "" {
		return path
	}
	img := image.NewRGBA(image.Rect(0, 0, 6240, 4160))
	for i := range img.Pix {
		img.Pix[i] = byte(i/97 + i*i>>9)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 95}); err != nil {
		b.Fatal(err)
	}
	return write(b, filepath.Join(b.TempDir(), "26.jpg"), out.Bytes())
}

// A program that does not call [Main] gives an error.
func TestThisIsNoChild(t *testing.T) {
	if Main() {
		t.Error("a child")
	}
	if _, err := exec.LookPath("/proc/self/exe"); err != nil {
		t.Errorf("there is no such program: %v", err)
	}
}
