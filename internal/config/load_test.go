package config

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestAStudioWithoutAFileWorks(t *testing.T) {
	c, err := Load(filepath.Join(t.TempDir(), "sizewright.toml"))
	if err != nil || !reflect.DeepEqual(c, Default()) {
		t.Errorf("%+v (%v)", c, err)
	}
}

func TestAFileIsRead(t *testing.T) {
	path := write(t, "work.cores = 2\n")
	if c, err := Load(path); err != nil || c.Cores != 2 {
		t.Errorf("%+v (%v)", c, err)
	}
	path = write(t, "core = 2\n")
	want := path + ":1:1: core: there is no such key: did you mean cores, under [work]?"
	if _, err := Load(path); err == nil || err.Error() != want {
		t.Errorf("told %v, want %s", err, want)
	}
}

func TestWhatIsNoFileIsToldSo(t *testing.T) {
	dir := t.TempDir()
	want := dir + " cannot be read (is a directory): make it a text file that this account may read"
	if _, err := Load(dir); err == nil || err.Error() != want {
		t.Errorf("told %v, want %s", err, want)
	}
	path := write(t, strings.Repeat("#", maxFileBytes+1))
	want = path + " is larger than 1 MiB and so no configuration: move it away"
	if _, err := Load(path); err == nil || err.Error() != want {
		t.Errorf("told %v, want %s", err, want)
	}
}

// A daemon that reads its configuration again must not wait for somebody to write one.
func TestAPipeIsNotWaitedFor(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sizewright.toml")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	told := make(chan error, 1)
	go func() { _, err := Load(path); told <- err }()
	select {
	case err := <-told:
		want := path + " cannot be read (no plain file): make it a text file that this account may read"
		if err == nil || err.Error() != want {
			t.Errorf("told %v, want %s", err, want)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("still waiting after 10 s")
	}
}

func write(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sizewright.toml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}
