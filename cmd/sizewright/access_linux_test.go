package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"image/jpeg"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/testkit/reference"
)

// shared is a group's studio as README.md describes it, with the unit's service and two
// people of the group. Each has a user; the people have their own groups, umasks and desks.
// All are on one file system.
type shared struct {
	binary, studio string
	service        *reference.Service
	anna, ben      person
}

// person is a user of the machine, who needs no account name.
type person struct {
	uid, group int
	umask      string
	desk       string
}

// newShared creates the studio. With Debian's usual umask the group cannot write; with a
// stricter one it cannot read either.
func newShared(t *testing.T) *shared {
	t.Helper()
	reference.Tool(t, "setpriv")
	dir := reference.Public(t)
	s := &shared{binary: filepath.Join(dir, "sizewright"), studio: filepath.Join(dir, "studio"), service: reference.ServiceOf(t, unitFile)}
	program, err := built()
	if err == nil {
		err = os.WriteFile(s.binary, program, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	s.anna = newPerson(t, dir, s.service.GID, 61_001, "0022")
	s.ben = newPerson(t, dir, s.service.GID, 61_002, "0077")
	reference.Output(t, s.binary, "init", "--group", strconv.Itoa(s.service.GID), s.studio)
	s.anna.does(t, "sh", "-c", "printf '[intake]\nsettle = \"50ms\"\nrescan = \"1s\"\n[print]\nppi = 72\n' > "+s.in("sizewright.toml"))
	s.anna.does(t, "mkdir", s.in("drop", "A6"))
	return s
}

func newPerson(t *testing.T, dir string, group, uid int, umask string) person {
	t.Helper()
	p := person{uid, group, umask, filepath.Join(dir, strconv.Itoa(uid))}
	for _, err := range []error{os.Mkdir(p.desk, 0o700), os.Chown(p.desk, uid, uid)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return p
}

func (s *shared) in(parts ...string) string {
	return filepath.Join(append([]string{s.studio}, parts...)...)
}

// command returns a command run by this person.
func (p person) command(args ...string) *exec.Cmd {
	as := []string{"--reuid=" + strconv.Itoa(p.uid), "--regid=" + strconv.Itoa(p.uid), "--groups=" + strconv.Itoa(p.group),
		"sh", "-c", "umask " + p.umask + `; exec "$@"`, "sh"}
	return exec.Command("setpriv", append(as, args...)...)
}

// does runs a person's command, which must succeed, and returns its output.
func (p person) does(t *testing.T, args ...string) string {
	t.Helper()
	out, err := p.command(args...).CombinedOutput()
	if err != nil {
		t.Fatalf("user %d: %q: %v\n%s", p.uid, args, err, out)
	}
	return string(out)
}

// serve runs the service until stop is called, or the test ends.
func (s *shared) serve(t *testing.T) (stop func()) {
	t.Helper()
	cmd := s.service.Command(s.binary, "serve", "--studio", s.studio)
	var log bytes.Buffer
	cmd.Stderr = &log
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := sync.OnceValue(func() error {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		return cmd.Wait()
	})
	t.Cleanup(func() {
		if err := ended(); err != nil || t.Failed() {
			t.Errorf("the service: %v; its log:\n%s", err, log.String())
		}
	})
	return func() { _ = ended() }
}

// photograph puts a photograph on a person's desk, with the person's group and the given
// permissions, and returns its path.
func (p person) photograph(t *testing.T, name string, width int, mode fs.FileMode) string {
	t.Helper()
	name = filepath.Join(p.desk, name)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, checked(width, width*2/3), nil); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{os.WriteFile(name, b.Bytes(), mode), os.Chmod(name, mode), os.Chown(name, p.uid, p.uid)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return name
}

func waitFor(t *testing.T, what string, done func() bool) {
	t.Helper()
	for range 600 {
		if done() {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s: not within half a minute", what)
}

func waitForFile(t *testing.T, name string) {
	t.Helper()
	waitFor(t, name, func() bool { _, err := os.Lstat(name); return err == nil })
}

// Two people and the service, each with their own user and umask.
func TestTwoPeopleAndTheServiceShareAStudio(t *testing.T) {
	s := newShared(t)
	anna, ben := s.anna, s.ben
	stop := s.serve(t)

	// Anna copies a picture in, and makes a drop folder of her own.
	marsh := anna.photograph(t, "marsh.jpg", 800, 0o644)
	anna.does(t, "cp", marsh, s.in("drop", "A6"))
	anna.does(t, "mkdir", s.in("drop", "10x15cm"))
	anna.does(t, "cp", marsh, s.in("drop", "10x15cm", "card.jpg"))
	// Ben moves one in that is too small, with his own group, for all to read.
	ben.does(t, "mv", ben.photograph(t, "small.jpg", 120, 0o644), s.in("drop", "A6"))
	waitForFile(t, s.in("outbox", "A6", "marsh.json"))
	waitForFile(t, s.in("outbox", "10x15cm", "card.json"))
	waitForFile(t, s.in("held", "A6", "small.jpg.json"))

	// Each may pick up a print, and delete one, and its original.
	ben.does(t, "mv", s.in("outbox", "A6", "marsh.tif"), ben.desk)
	ben.does(t, "cat", filepath.Join(ben.desk, "marsh.tif"))
	anna.does(t, "rm", s.in("outbox", "10x15cm", "card.tif"))
	ben.does(t, "rm", s.in("originals", "10x15cm", "card.jpg"))
	// Each may also put the other's held picture into a folder of a size that it is good for.
	anna.does(t, "mkdir", s.in("drop", "20x30mm"))
	anna.does(t, "mv", s.in("held", "A6", "small.jpg"), s.in("drop", "20x30mm"))
	ben.does(t, "rm", s.in("held", "A6", "small.jpg.txt"), s.in("held", "A6", "small.jpg.json"))
	waitForFile(t, s.in("outbox", "20x30mm", "small.json"))

	waitForFile(t, s.in("outbox", "morning", "latest.html"))
	ben.does(t, "cat", s.in("outbox", "morning", "latest.html"))
	ben.does(t, s.binary, "status", "--studio", s.studio)
	ben.does(t, s.binary, "check", "--studio", s.studio)
	stop()
	s.belongsToTheGroup(t)
	if said := ben.does(t, s.binary, "status", "--studio", s.studio); !strings.Contains(said, "No daemon is running here.") {
		t.Errorf("once it has stopped the status says\n%s", said)
	}
}

// belongsToTheGroup checks every directory of a studio, and every file that the service
// made, for what README.md promises.
func (s *shared) belongsToTheGroup(t *testing.T) {
	t.Helper()
	err := filepath.WalkDir(s.studio, func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil // the service is working
		}
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		st := info.Sys().(*syscall.Stat_t)
		want := uint32(0o660)
		switch {
		case d.IsDir():
			want = 0o2770
		case int(st.Uid) != s.service.UID:
			return nil
		}
		if int(st.Gid) != s.service.GID || st.Mode&0o7777 != want {
			t.Errorf("%s: group %d, mode %o; want %d, %o", path, st.Gid, st.Mode&0o7777, s.service.GID, want)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A file that is moved in keeps its owner, group and permissions. If the service has no
// access it says so, with a remedy, and after the remedy it makes the print.
func TestAPictureOnlyItsOwnerMayReadIsNamedWithTheRemedy(t *testing.T) {
	s := newShared(t)
	s.serve(t)
	secret := s.in("drop", "A6", "secret.jpg")
	s.ben.does(t, "mv", s.ben.photograph(t, "secret.jpg", 800, 0o600), secret)
	const says = "not be read by sizewright, which runs as user "
	waitFor(t, "the status", func() bool {
		said := s.anna.does(t, s.binary, "status", "--studio", s.studio)
		return strings.Contains(said, "secret.jpg") && strings.Contains(said, says) && strings.Contains(said, fmt.Sprintf("chgrp %d and chmod g+r", s.service.GID))
	})
	waitFor(t, "the report", func() bool {
		page, err := os.ReadFile(s.in("outbox", "morning", "latest.html"))
		return err == nil && bytes.Contains(page, []byte("secret.jpg")) && bytes.Contains(page, []byte(says))
	})

	s.ben.does(t, "chgrp", strconv.Itoa(s.service.GID), secret)
	s.ben.does(t, "chmod", "g+r", secret)
	waitForFile(t, s.in("outbox", "A6", "secret.json"))
	s.anna.does(t, "mv", s.in("originals", "A6", "secret.jpg"), s.in("held"))
}

// A folder that was moved in with other permissions is reported, and its pictures are
// printed after the remedy.
func TestAFolderThatTheServiceMayNotEmptyIsNamedWithTheRemedy(t *testing.T) {
	s := newShared(t)
	s.serve(t)
	for _, c := range []struct{ name, mode, says string }{
		{"9x13cm", "755", "chgrp %d and chmod g+w"},
		{"A7", "700", "chgrp %d and chmod g+rwx"},
		{"A8", "3777", "chmod -t"},
	} {
		from, to := filepath.Join(s.anna.desk, c.name), s.in("drop", c.name)
		s.anna.does(t, "mkdir", from)
		s.anna.photograph(t, c.name+"/marsh.jpg", 800, 0o644)
		s.anna.does(t, "chmod", c.mode, from)
		s.anna.does(t, "mv", from, to)
		says := strings.ReplaceAll(c.says, "%d", strconv.Itoa(s.service.GID))
		waitFor(t, "the status", func() bool {
			var st status
			if err := json.Unmarshal([]byte(s.ben.does(t, s.binary, "status", "--studio", s.studio, "--json")), &st); err != nil {
				t.Fatal(err)
			}
			return slices.ContainsFunc(st.Left, func(l fileStatus) bool { return l.Folder == c.name && strings.Contains(l.Remedy, says) })
		})
		for step := range strings.SplitSeq(says, " and ") {
			s.anna.does(t, append(strings.Fields(step), to)...)
		}
		waitForFile(t, s.in("outbox", c.name, "marsh.json"))
	}
}

// Whatever a person's umask is, commands in a group's studio leave nothing that excludes the
// others, also on a file system without default ACLs.
func TestAPersonMayWorkAtTheGroupsStudio(t *testing.T) {
	s := newShared(t)
	withoutDefaultACL(t, s.studio)
	for _, c := range []struct {
		person
		name  string
		width int
	}{{s.ben, "first.jpg", 800}, {s.anna, "second.jpg", 802}} {
		c.does(t, "mv", c.photograph(t, c.name, c.width, 0o644), s.in("drop", "A6"))
		c.does(t, s.binary, "once", "--studio", s.studio)
	}
	waitForFile(t, s.in("outbox", "A6", "second.json"))
	s.ben.does(t, s.binary, "morning", "--studio", s.studio)

	s.serve(t)
	s.anna.does(t, "mv", s.anna.photograph(t, "third.jpg", 804, 0o644), s.in("drop", "A6"))
	waitForFile(t, s.in("outbox", "A6", "third.json"))
	s.ben.does(t, "mv", s.in("outbox", "A6", "second.tif"), s.ben.desk)
	s.belongsToTheGroup(t)

	// The demo says that the service is running before it paints anything.
	said, err := s.anna.command(s.binary, "demo", s.studio).CombinedOutput()
	if err == nil || !strings.Contains(string(said), "already at work") || strings.Contains(string(said), "picture 1 of") {
		t.Errorf("the demo beside the service: %v\n%s", err, said)
	}
}

// withoutDefaultACL makes a studio as on a file system without default ACLs.
func withoutDefaultACL(t *testing.T, studio string) {
	t.Helper()
	err := filepath.WalkDir(studio, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			if err = syscall.Removexattr(path, "system.posix_acl_default"); err == syscall.ENODATA || err == syscall.ENOTSUP {
				err = nil
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A permission that init gave the group and a person removed is reported, with the command
// that restores it.
func TestCheckSaysWhatShutsTheGroupOut(t *testing.T) {
	s := newShared(t)
	for _, c := range []struct {
		dir  string
		mode fs.FileMode
		says string
	}{
		{"outbox", fs.ModeSetgid | 0o750, "its group may not write there"},
		{"held", 0o770, "no setgid bit"},
		{"drop/A6", fs.ModeSetgid | fs.ModeSticky | 0o770, "sticky bit"},
	} {
		if err := os.MkdirAll(s.in(c.dir), 0o770); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(s.in(c.dir), c.mode); err != nil {
			t.Fatal(err)
		}
		said, err := s.ben.command(s.binary, "check", "--studio", s.studio).CombinedOutput()
		if err == nil || !strings.Contains(string(said), c.dir+": ") || !strings.Contains(string(said), c.says) {
			t.Errorf("%s: %v, %s", c.dir, err, said)
		}
		reference.Output(t, s.binary, "init", "--group", strconv.Itoa(s.service.GID), s.studio)
		s.ben.does(t, s.binary, "check", "--studio", s.studio)
	}
}
