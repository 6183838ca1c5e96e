package demo

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// small is the set at 1/64 of its size.
func small() []Picture {
	all := Pictures()
	for i := range all {
		all[i] = all[i].Reduced(64)
	}
	return all
}

// files lists what lies under a directory, by path from it.
func files(t *testing.T, dir string) (all []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			name, _ := filepath.Rel(dir, path)
			all = append(all, filepath.ToSlash(name))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestFillPutsEachPictureInItsFolderAndSaysSo(t *testing.T) {
	dir := t.TempDir()
	told := map[string]bool{}
	calls := 0
	err := Fill(context.Background(), dir, small(), func(done, total int, name string) {
		calls++
		if done != calls || total != len(Pictures()) {
			t.Errorf("call %d says %d of %d", calls, done, total)
		}
		told[name] = true
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range Pictures() {
		if info, err := os.Stat(filepath.Join(dir, p.Folder, p.Name)); err != nil || info.Size() == 0 || !told[p.Name] {
			t.Errorf("%s: %v, told %v", p.Name, err, told[p.Name])
		}
	}
	if got := files(t, dir); len(got) != len(Pictures()) {
		t.Errorf("there are %d files: %q", len(got), got)
	}
}

func TestFillLeavesAFileThatIsThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "A4", "low-water.jpg")
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Fill(context.Background(), dir, small(), nil); err != nil {
		t.Fatal(err)
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != "mine" {
		t.Errorf("it now holds %d bytes, %v", len(data), err)
	}
}

func TestFillStoppedLeavesNothingHalfWritten(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	dir := t.TempDir()
	if err := Fill(ctx, dir, small(), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("Fill says %v", err)
	}
	if got := files(t, dir); len(got) != 0 {
		t.Errorf("it leaves %q", got)
	}
}

func TestFillSaysWhereItCannotWriteAndWhatToDo(t *testing.T) {
	blocked := filepath.Join(t.TempDir(), "drop")
	if err := os.WriteFile(blocked, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	err := Fill(context.Background(), blocked, small(), nil)
	if err == nil || !strings.Contains(err.Error(), blocked) || !strings.Contains(err.Error(), "choose a directory") {
		t.Errorf("Fill says %v", err)
	}
}
