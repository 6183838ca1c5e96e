package isolate

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"sizewright/internal/photo"
	"sizewright/internal/testkit/reference"
)

// little has every TIFF and PSD of the tests decoded to a file.
func little() photo.Limits {
	lim := photo.DefaultLimits()
	lim.MaxDecodeBytes = 16_000
	return lim
}

// large is a picture that is too much for that.
func large(t *testing.T) string {
	dir := t.TempDir()
	reference.Output(t, "convert", marsh(t, dir), "-depth", "16", filepath.Join(dir, "large.tif"))
	return filepath.Join(dir, "large.tif")
}

// A picture that is too large for memory is the same from a file: every storage layout of
// the formats that can be so large, and every orientation.
func TestALargePictureIsTheSameFromAFile(t *testing.T) {
	tried := 0
	for _, path := range pictures(t) {
		if ext := filepath.Ext(path); !strings.HasPrefix(ext, ".ps") && ext != ".tif" {
			continue
		}
		tried++
		t.Run(filepath.Base(path), func(t *testing.T) {
			want, err := photo.Open(path, photo.DefaultLimits())
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			got, err := In(dir)(t.Context(), path, little())
			if err != nil {
				t.Fatal(err)
			}
			defer got.Close()
			if got.Room == 0 || want.Room != 0 {
				t.Fatalf("files of %d and %d bytes", got.Room, want.Room)
			}
			want.Room = got.Room
			if !reflect.DeepEqual(got.Info, want.Info) || got.Fingerprint() != want.Fingerprint() {
				t.Errorf("says %+v, want %+v", got.Info, want.Info)
			}
			sameRows(t, got, want)
			if left, _ := os.ReadDir(dir); len(left) > 0 {
				t.Errorf("the file has the name %s", left[0].Name())
			}
			maps, _ := os.ReadFile("/proc/self/maps")
			if !strings.Contains(string(maps), dir) {
				t.Error("it is not read from a file")
			}
		})
	}
	if tried < 15 {
		t.Errorf("only %d pictures", tried)
	}
}

// The file has no name while it is written either, so nothing is left of it whenever the
// process is killed; and none of its bytes count as memory.
func TestAKilledDecoderLeavesNoFile(t *testing.T) {
	misbehaving(t, "hang")
	dir, path := t.TempDir(), large(t)
	lim := little()
	lim.MaxDecodeTime = 300 * time.Millisecond
	names := make(chan int)
	go func() {
		seen := 0
		for range 20 {
			left, _ := os.ReadDir(dir)
			seen += len(left)
			time.Sleep(20 * time.Millisecond)
		}
		names <- seen
	}()
	if _, err := In(dir)(t.Context(), path, lim); err == nil {
		t.Error("it was not killed")
	}
	if n := <-names; n > 0 {
		t.Errorf("it had a name %d times of 20", n)
	}
}

// Where there is no room for it, the machine is to blame and not the picture.
func TestNoRoomForALargePicture(t *testing.T) {
	_, err := In(filepath.Join(t.TempDir(), "nowhere"))(t.Context(), large(t), little())
	if err == nil || !strings.Contains(err.Error(), "has no room for a file") || strings.Contains(err.Error(), "damaged") {
		t.Errorf("says %v", err)
	}
}
