package intake

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"sync"
	"syscall"
	"testing"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"
	"golang.org/x/sys/unix"

	"sizewright/internal/photo"
)

// photograph is a JPEG of some 200 kB that hardly packs.
var photograph = sync.OnceValue(func() []byte {
	img := image.NewGray(image.Rect(0, 0, 400, 300))
	r := rand.New(rand.NewPCG(14, 3))
	for i := range img.Pix {
		img.Pix[i] = byte(r.Uint32())
	}
	img.SetGray(0, 0, color.Gray{})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 100}); err != nil {
		panic(err)
	}
	return b.Bytes()
})

func photographs(n int) string { return string(photograph()[:n]) }

func half() string  { return photographs(len(photograph()) / 2) }
func whole() string { return photographs(len(photograph())) }

// seen is the one candidate of a drop directory.
func seen(t testing.TB, drop string) Candidate {
	t.Helper()
	files, _, err := Scan(drop)
	if err != nil || len(files) != 1 {
		t.Fatalf("%v, %v", files, err)
	}
	return files[0]
}

func lookClosely(drop string, c Candidate) error { return StillWhole(drop, c, photo.Limits{}) }

func TestACloserLook(t *testing.T) {
	const name = "A2/marsh.jpg"
	do := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct {
		claim   string
		content string
		then    func(path string) // what happens after it was seen
		want    error             // nil: whole
	}{
		{"a whole photograph", whole(), nil, nil},
		{"half a photograph", half(), nil, &photo.Unended{}},
		{"no photograph at all", "12345", nil, nil},
		{"a file that has gone", whole(), func(p string) { do(os.Remove(p)) }, errOther},
		{"a folder that has gone", whole(), func(p string) { do(os.RemoveAll(filepath.Dir(p))) }, errOther},
		{"a file that has grown", whole(), func(p string) { do(os.WriteFile(p, []byte(whole()+whole()), 0o666)) }, errOther},
		{"a file that got another name", whole(), func(p string) { do(os.Link(p, p+"2")) }, errOther},
		{"a link in its place", whole(), func(p string) { do(os.Rename(p, p+"2")); do(os.Symlink(p+"2", p)) }, errOther},
		{"a link in its folder's place", whole(), func(p string) {
			d := filepath.Dir(p)
			do(os.Rename(d, d+"2"))
			do(os.Symlink(d+"2", d))
		}, errOther},
		{"a pipe in its place", whole(), func(p string) { do(os.Remove(p)); do(syscall.Mkfifo(p, 0o666)) }, errOther},
		{"a folder in its place", whole(), func(p string) { do(os.Remove(p)); do(os.Mkdir(p, 0o777)) }, errOther},
	}
	for _, tt := range tests {
		drop := newDrop(t, "A2")
		put(t, drop, name, tt.content)
		c := seen(t, drop)
		if tt.then != nil {
			tt.then(filepath.Join(drop, name))
		}
		err := lookClosely(drop, c)
		if _, unfinished := tt.want.(*photo.Unended); unfinished != unended(err) || !unfinished && err != tt.want {
			t.Errorf("%s: %v, want %v", tt.claim, err, tt.want)
		}
	}
}

// The kernel knows who has a file open for writing, here or in another process.
func TestAFileOpenForWritingIsNotWhole(t *testing.T) {
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", whole())
	path := filepath.Join(drop, "A2/marsh.jpg")
	c := seen(t, drop)
	for _, tt := range []struct {
		flag int
		want error
	}{{os.O_RDONLY, nil}, {os.O_WRONLY, errOpen}, {os.O_RDWR, errOpen}} {
		f, err := os.OpenFile(path, tt.flag, 0)
		if err != nil {
			t.Fatal(err)
		}
		// Another process has it now.
		cmd := exec.Command("cat")
		cmd.ExtraFiles = []*os.File{f}
		in, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		f.Close()
		if err := lookClosely(drop, c); err != tt.want {
			t.Errorf("open with flag %d: %v, want %v", tt.flag, err, tt.want)
		}
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Fatal(err)
		}
		if err := lookClosely(drop, c); err != nil {
			t.Errorf("closed again: %v", err)
		}
	}
}

// Who wants to write while a lease is held is why a SIGIO comes. It must end
// nothing: a signal that is caught nowhere in the program, by Go's runtime.
func TestALeaseThatIsBrokenDoesNoHarm(t *testing.T) {
	path := filepath.Join(newDrop(t), "marsh.jpg")
	if err := os.WriteFile(path, []byte("x"), 0o666); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := unix.FcntlInt(f.Fd(), unix.F_SETLEASE, unix.F_RDLCK); err != nil {
		t.Fatal(err)
	}
	signal.Reset(syscall.SIGIO) // as in the daemon
	_, err = os.OpenFile(path, os.O_WRONLY|syscall.O_NONBLOCK, 0)
	if !errors.Is(err, syscall.EWOULDBLOCK) {
		t.Fatalf("the lease was not in the way: %v", err)
	}
	if _, err := unix.FcntlInt(f.Fd(), unix.F_SETLEASE, unix.F_UNLCK); err != nil {
		t.Fatal(err)
	}
	// Ours is given back at once, not when the file is closed.
	if err := nobodyWrites(int(f.Fd())); err != nil {
		t.Fatal(err)
	}
	w, err := os.OpenFile(path, os.O_WRONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		t.Fatalf("a lease is still in the way: %v", err)
	}
	w.Close()
}

// Somebody else's lease, as a file server has for its client, is not waited for.
func TestSomebodyElsesLeaseIsNotWaitedFor(t *testing.T) {
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", whole())
	c := seen(t, drop)
	f, err := os.OpenFile(filepath.Join(drop, "A2/marsh.jpg"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := unix.FcntlInt(f.Fd(), unix.F_SETLEASE, unix.F_WRLCK); err != nil {
		t.Fatal(err)
	}
	if err := lookClosely(drop, c); err != errOpen {
		t.Errorf("%v", err)
	}
}

// Where leases cannot be had it is said once, and the end decides: of a file without one
// nothing is waited for.
func TestWithoutLeasesTheEndDecides(t *testing.T) {
	for _, tt := range []struct {
		why   string
		lease error
		kind  fileSystem
	}{
		{"not the file's owner", unix.EACCES, fileSystem{}},
		{"no leases here", unix.EINVAL, fileSystem{}},
		{"not supported", unix.EOPNOTSUPP, fileSystem{}},
		{"a share that says every file is open", unix.EAGAIN, fileSystems[unix.NFS_SUPER_MAGIC]},
		{"a share whose server other machines write to", nil, fileSystems[unix.FUSE_SUPER_MAGIC]},
	} {
		core, logs := observer.New(zapcore.InfoLevel)
		drop := newDrop(t, "A2")
		l := newCloser(drop, photo.DefaultLimits(), zap.New(core))
		l.lease = func(int) error {
			switch tt.lease {
			case nil:
				return nil
			case unix.EAGAIN:
				return errOpen
			}
			return errors.Join(errBlind, tt.lease)
		}
		l.kind = func(int) fileSystem { return tt.kind }
		put(t, drop, "A2/marsh.jpg", whole())
		if blanks, err := l.look(seen(t, drop)); err != nil || blanks == nil {
			t.Errorf("%s: %v, %v; want another look to be asked for", tt.why, blanks, err)
		}
		put(t, drop, "A2/marsh.jpg", half())
		if _, err := l.look(seen(t, drop)); !unended(err) {
			t.Errorf("%s, half: %v", tt.why, err)
		}
		if logs.Len() != 1 {
			t.Errorf("%s: told %d times", tt.why, logs.Len())
		}
	}
}

// A copy whose size was set first is not whole until all of it is written,
// whichever part comes last.
func TestASizeThatWasSetFirstIsNotAWholeFile(t *testing.T) {
	b := photograph()
	const page = 1 << 16
	if n := (len(b) + page - 1) / page; n != 3 {
		t.Fatalf("%d parts", n)
	}
	for how, tt := range map[string]struct {
		set   func(f *os.File) error
		parts []int // in the order they come
	}{
		"no bytes":             {func(f *os.File) error { return f.Truncate(int64(len(b))) }, []int{0, 1, 2}},
		"no bytes, last first": {func(f *os.File) error { return f.Truncate(int64(len(b))) }, []int{2, 0, 1}},
		// Reserved bytes that somebody has read are zeros like any others, so
		// only what is missing at the end is missed.
		"reserved bytes": {func(f *os.File) error { return unix.Fallocate(int(f.Fd()), 0, 0, int64(len(b))) }, []int{0, 1, 2}},
	} {
		drop := newDrop(t, "A2")
		path := filepath.Join(drop, "A2/marsh.jpg")
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := tt.set(f); err != nil {
			t.Fatal(err)
		}
		for i, p := range tt.parts {
			if err := lookClosely(drop, seen(t, drop)); err != errOpen {
				t.Errorf("%s, after %d parts, open: %v", how, i, err)
			}
			if err := photo.Ended(onDisk{f, fileSystem{}}, int64(len(b)), photo.DefaultLimits()); !unended(err) {
				t.Errorf("%s, after %d parts: %v", how, i, err)
			}
			from, to := p*page, min((p+1)*page, len(b))
			if _, err := f.WriteAt(b[from:to], int64(from)); err != nil {
				t.Fatal(err)
			}
		}
		f.Close()
		if err := lookClosely(drop, seen(t, drop)); err != nil {
			t.Errorf("%s, written: %v", how, err)
		}
	}
}

func TestFaultsOfTheSystemAreNoEnd(t *testing.T) {
	for err, want := range map[error]string{
		unix.EIO:    "it cannot be opened (input/output error)",
		unix.EMFILE: "it cannot be opened (too many open files)",
	} {
		if got := openFault(err); got.Error() != want || forbidden(got) {
			t.Errorf("%v, want %s", got, want)
		}
	}
	if err := openFault(unix.EACCES); !forbidden(err) || !errors.Is(err, fs.ErrPermission) {
		t.Error(err)
	}
}
