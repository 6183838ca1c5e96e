package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/testkit/reference"
)

// A program of another user reserves a TIFF's whole size, writes it slowly and keeps it open.
// The file's end exists from the start, its time does not change for longer than settle, and
// the part not yet written would be black in a print.

// writer is a user who is neither root nor the service.
const writer = 61_300

// greyTIFF is an uncompressed TIFF (6.0) whose directory comes before its pixels.
func greyTIFF(width, height uint32) []byte {
	fields := [][2]uint32{{256, width}, {257, height}, {258, 8}, {259, 1}, {262, 1}, {273, 122}, {277, 1}, {278, height}, {279, width * height}}
	b := []byte("II*\x00\x08\x00\x00\x00")
	b = binary.LittleEndian.AppendUint16(b, uint16(len(fields)))
	for _, f := range fields {
		b = binary.LittleEndian.AppendUint16(b, uint16(f[0]))
		b = binary.LittleEndian.AppendUint16(b, 4) // LONG
		b = binary.LittleEndian.AppendUint32(b, 1)
		b = binary.LittleEndian.AppendUint32(b, f[1])
	}
	b = append(b, 0, 0, 0, 0)
	for i := range width * height {
		b = append(b, byte(64+i%127))
	}
	return b
}

// serving is a studio of the service's user with its daemon. Everybody may drop into A6.
func serving(t *testing.T, s *reference.Service, settings string) (studio string) {
	t.Helper()
	binary := filepath.Join(reference.Public(t), "sizewright")
	if err := os.Rename(reference.Program(t), binary); err != nil {
		t.Fatal(err)
	}
	home := reference.Public(t)
	if err := os.Chmod(home, 0o777); err != nil {
		t.Fatal(err)
	}
	studio = filepath.Join(home, "studio")
	if out, err := s.Command(binary, "init", studio).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if err := os.WriteFile(filepath.Join(studio, "sizewright.toml"), []byte(settings), 0o644); err != nil {
		t.Fatal(err)
	}
	drop := filepath.Join(studio, "drop", "A6")
	if err := os.MkdirAll(drop, 0o755); err != nil {
		t.Fatal(err)
	}
	for dir := drop; dir != home; dir = filepath.Dir(dir) {
		if err := errors.Join(os.Chown(dir, s.UID, s.GID), os.Chmod(dir, 0o755)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(drop, 0o777); err != nil {
		t.Fatal(err)
	}
	log := &bytes.Buffer{}
	daemon := s.Command(binary, "serve", "--studio", studio)
	daemon.Stderr = log
	if err := daemon.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := errors.Join(daemon.Process.Signal(syscall.SIGTERM), daemon.Wait()); err != nil || t.Failed() {
			t.Errorf("serve: %v\n%s", err, log)
		}
	})
	return studio
}

// slowly is a program of the writer that has reserved a file's whole size, keeps it open,
// and writes what it is given from the file's beginning.
func slowly(t *testing.T, path string, size int) io.WriteCloser {
	t.Helper()
	const script = `head -c "$2" /dev/zero > "$1" && exec cat 1<> "$1"`
	cmd := exec.Command("sh", "-c", script, "sh", path, fmt.Sprint(size))
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: writer, Gid: writer}}
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { in.Close(); cmd.Wait() })
	return in
}

// untaken fails the test if a file leaves its drop folder within a time.
func untaken(t *testing.T, path string, within time.Duration) {
	t.Helper()
	for end := time.Now().Add(within); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			t.Fatal("it was taken while it was being written")
		}
	}
}

// madeOf checks that a print was made of these bytes, and that they are the original.
func madeOf(t *testing.T, studio string, b []byte) {
	t.Helper()
	path := filepath.Join(studio, "outbox", "A6", "marsh.json")
	for range 600 {
		if _, err := os.Stat(path); err == nil {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var r record.Record
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(b)
	if r.Source.SHA256 != hex.EncodeToString(sum[:]) {
		t.Error("the print was made of other bytes")
	}
	original, err := os.ReadFile(filepath.Join(studio, r.Source.Original))
	if err != nil || !bytes.Equal(original, b) {
		t.Errorf("the original is not what was dropped: %v", err)
	}
}

const settleSoon = "[intake]\nsettle = \"100ms\"\nrescan = \"1s\"\n[print]\nppi = 100\ntoo_small = \"make\"\n"

// With the unit's capability, the service waits until the file is closed.
func TestTheServiceWaitsForAnotherUsersProgram(t *testing.T) {
	studio := serving(t, reference.ServiceOf(t, unitFile), settleSoon)
	b, path := greyTIFF(600, 400), filepath.Join(studio, "drop", "A6", "marsh.tif")
	in := slowly(t, path, len(b))
	for _, part := range [][]byte{b[:len(b)/4], b[len(b)/4:]} {
		if _, err := in.Write(part); err != nil {
			t.Fatal(err)
		}
		for range 1200 { // it arrives in pieces
			if info, err := os.Stat(path); err == nil && info.Size() == int64(len(b)) {
				break
			}
			time.Sleep(5 * time.Millisecond)
		}
		untaken(t, path, time.Second/2)
	}
	in.Close()
	madeOf(t, studio, b)
}

// Without the capability, it waits longer than the program's pauses.
func TestWithoutTheCapabilityTheServiceWaitsLonger(t *testing.T) {
	studio := serving(t, reference.ServiceOf(t, unitFile).Powerless(), settleSoon)
	b, path := greyTIFF(600, 400), filepath.Join(studio, "drop", "A6", "marsh.tif")
	in := slowly(t, path, len(b))
	const parts = 4
	for i := range parts {
		if _, err := in.Write(b[i*len(b)/parts : (i+1)*len(b)/parts]); err != nil {
			t.Fatal(err)
		}
		if i > 0 {
			untaken(t, path, 300*time.Millisecond) // three times settle
		}
	}
	madeOf(t, studio, b)
	in.Close()
}
