package isolate

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"sizewright/internal/hold"
	"sizewright/internal/photo"
)

// manner says how a child is to fail; peakTo is a file to which it writes its peak memory.
const (
	manner = "APART_TEST_MANNER"
	peakTo = "APART_TEST_PEAK"
)

// misbehaving makes the children of a test fail.
func misbehaving(t *testing.T, how string) {
	testEnv = []string{manner + "=" + how}
	t.Cleanup(func() { testEnv = nil })
}

// misbehave makes a child fail as a decoder may fail.
func misbehave() {
	how := os.Getenv(manner)
	switch how {
	case "":
		return
	case "be stopped at once":
		signalMyself(syscall.SIGTERM)
	}
	decodeFile = func(f *os.File, name string, lim photo.Limits, room *photo.Room) (*photo.Photo, error) {
		switch how {
		case "hang":
			time.Sleep(time.Hour) // the parent ends it long before
		case "loop":
			for n := uint64(1); n != 0; n += 2 { // n is always odd
			}
		case "hoard":
			for hoard := [][]byte{}; ; {
				hoard = append(hoard, make([]byte, 8<<20))
			}
		case "panic elsewhere":
			go panic("seaweed")
			select {}
		case "crash":
			signalMyself(syscall.SIGSEGV)
		case "be killed":
			signalMyself(syscall.SIGKILL)
		case "look at itself":
			return nil, photo.Unsupported.Say("%s", circumstances())
		case "show its capabilities":
			return nil, photo.Unsupported.Say("%s", capabilities())
		case "be stopped":
			syscall.Kill(os.Getpid(), syscall.SIGTERM) // is ignored
		case "say nothing":
			os.Exit(0)
		case "write nonsense":
			os.NewFile(4, "memory").WriteString("nonsense nonsense nonsense")
			os.Exit(0)
		case "lose its files":
			os.NewFile(4, "memory").Close()
		}
		return photo.Decode(f, name, lim, room)
	}
}

// circumstances describes the environment of a child.
func circumstances() string {
	var core, data, fsize unix.Rlimit
	unix.Getrlimit(unix.RLIMIT_CORE, &core)
	unix.Getrlimit(unix.RLIMIT_DATA, &data)
	unix.Getrlimit(unix.RLIMIT_FSIZE, &fsize)
	var dies int32
	unix.Prctl(unix.PR_GET_PDEATHSIG, uintptr(unsafe.Pointer(&dies)), 0, 0, 0)
	oom, _ := os.ReadFile("/proc/self/oom_score_adj")
	var names []string
	for _, e := range os.Environ() {
		name, _, _ := strings.Cut(e, "=")
		names = append(names, name)
	}
	slices.Sort(names)
	inData := data.Cur < 2<<30 && data.Cur == data.Max
	return fmt.Sprint("core ", core.Cur, core.Max, " data ", inData || underRace, " file ", fsize.Cur, fsize.Max,
		" dies by ", dies, " chosen at ", strings.TrimSpace(string(oom)), " knows ", names, " as ", os.Args)
}

// capabilities returns those of this process, by proc_pid_status(5), and its parent-death
// signal, which a change of capabilities could reset.
func capabilities() string {
	status, _ := os.ReadFile("/proc/self/status")
	var dies int32
	unix.Prctl(unix.PR_GET_PDEATHSIG, uintptr(unsafe.Pointer(&dies)), 0, 0, 0)
	return fmt.Sprint("dies by ", dies, " ") + string(bytes.Join(regexp.MustCompile(`(?m)^(CapInh|CapPrm|CapEff|CapAmb|NoNewPrivs):.*$`).FindAll(status, -1), []byte(" ")))
}

// parentOf names a photograph for a process that only decodes it in a child, and prints
// what the child reports about itself.
const parentOf = "APART_TEST_PARENT_OF"

// plainly has that child decode, so that only what goes wrong is printed.
const plainly = "APART_TEST_PLAINLY"

func beParent(path string) {
	if os.Getenv(plainly) == "" {
		testEnv = []string{manner + "=show its capabilities"}
	}
	_, err := Open(context.Background(), path, photo.DefaultLimits())
	var told *hold.Hold
	if !errors.As(err, &told) {
		fmt.Println(err)
		return
	}
	fmt.Print(told.Text)
}

// A child has limits that it cannot raise, is ended first when memory runs out, dies with
// its parent, and has a minimal environment.
func TestAChildIsHeldIn(t *testing.T) {
	misbehaving(t, "look at itself")
	t.Setenv("GOMEMLIMIT", "1GiB")
	lim := photo.DefaultLimits()
	lim.MaxMemoryBytes = 1 << 30
	_, err := Open(t.Context(), marsh(t, t.TempDir()), lim)
	var told *hold.Hold
	if !errors.As(err, &told) {
		t.Fatal(err)
	}
	env := slices.Sorted(slices.Values([]string{manner, "GOMAXPROCS", variable}))
	if underRace {
		env = slices.Sorted(slices.Values(append(env, "GORACE")))
	}
	want := fmt.Sprint("core ", 0, 0, " data ", true, " file ", 1<<30, 1<<30, " dies by ", int(syscall.SIGKILL), " chosen at 1000 knows ", env,
		" as ", []string{os.Args[0], "decoding", "marsh.png"})
	if told.Text != want {
		t.Errorf("finds %s\nwant  %s", told.Text, want)
	}
}

// However a decoder fails, the error describes the file, and the program keeps running.
func TestADecoderGoesWrong(t *testing.T) {
	path := marsh(t, t.TempDir())
	tests := []struct {
		how  string
		says string // "": the picture is read
	}{
		{"hang", "marsh.png took more than 0.2 seconds to decode and was stopped; open it in an editor and export it again"},
		{"loop", "marsh.png took more than 0.2 seconds to decode and was stopped; open it in an editor and export it again"},
		{"hoard", "marsh.png took more than the 0.25 GiB of memory allowed to decode it and was stopped; open it in an editor and export it again"},
		{"panic elsewhere", "marsh.png is damaged in a way that crashed its decoder; open it in an editor and export it again"},
		{"crash", "marsh.png is damaged in a way that crashed its decoder; open it in an editor and export it again"},
		{"be stopped", ""},
	}
	for _, tt := range tests {
		t.Run(tt.how, func(t *testing.T) {
			misbehaving(t, tt.how)
			lim := photo.DefaultLimits()
			lim.MaxMemoryBytes = 1 << 28
			if tt.how == "hang" || tt.how == "loop" {
				lim.MaxDecodeTime = 200 * time.Millisecond
			}
			p, err := Open(t.Context(), path, lim)
			if tt.says == "" {
				if err != nil {
					t.Fatal(err)
				}
				p.Close()
				return
			}
			if underRace && tt.how == "hoard" && errors.Is(err, Stopped) {
				return // the race detector's own memory ran out first, with another message
			}
			if !errors.Is(err, Stopped) || err.Error() != tt.says {
				t.Errorf("says %v, want %s", err, tt.says)
			}
		})
	}
}

// A failure that is not caused by the file is not blamed on it.
func TestAFaultOfTheMachineIsNoFaultOfThePicture(t *testing.T) {
	path := marsh(t, t.TempDir())
	for _, how := range []string{"be stopped at once", "say nothing", "write nonsense", "lose its files"} {
		misbehaving(t, how)
		_, err := Open(t.Context(), path, photo.DefaultLimits())
		var bad *hold.Hold
		if err == nil || errors.As(err, &bad) || !strings.HasPrefix(err.Error(), "marsh.png was not decoded: ") {
			t.Errorf("%s: %v", how, err)
		}
	}
}

// The kernel ends the child first, even if others use the memory, so SIGKILL says nothing
// about the picture.
func TestAShortageOfMemoryIsNoFaultOfThePicture(t *testing.T) {
	misbehaving(t, "be killed")
	_, err := Open(t.Context(), marsh(t, t.TempDir()), photo.DefaultLimits())
	var bad *hold.Hold
	if !errors.Is(err, ErrKilled) || errors.As(err, &bad) || !strings.Contains(err.Error(), "give sizewright more memory") {
		t.Errorf("got %v", err)
	}
}

// Without /proc no child can start, which is not the picture's fault either.
func TestNoChildCanBeStarted(t *testing.T) {
	defer func(p string) { program = p }(program)
	program = filepath.Join(t.TempDir(), "nothing")
	_, err := Open(t.Context(), marsh(t, t.TempDir()), photo.DefaultLimits())
	var bad *hold.Hold
	if !errors.Is(err, fs.ErrNotExist) || errors.As(err, &bad) || !strings.Contains(err.Error(), "check that /proc is mounted") {
		t.Errorf("got %v", err)
	}
}

// Setting the variable by hand does not turn the program into a decoder.
func TestAChildWithoutItsFilesSaysSo(t *testing.T) {
	if err := decodeAsChild("no limits"); err == nil {
		t.Error("decoded without limits")
	}
}

// Nothing remains, no process, file or mapping, after a picture was closed or rejected.
func TestNothingStaysOpen(t *testing.T) {
	path := marsh(t, t.TempDir())
	before := held(t)
	for range 5 {
		p, err := Open(t.Context(), path, photo.DefaultLimits())
		if err != nil {
			t.Fatal(err)
		}
		p.Close()
		p.Close()
		if _, err := Open(t.Context(), path, photo.Limits{MaxFileBytes: 1 << 20, MaxDecodeTime: time.Minute, MaxMemoryBytes: 1 << 30}); !errors.Is(err, photo.TooLarge) && !errors.Is(err, photo.Damaged) {
			t.Fatal(err)
		}
	}
	if after := held(t); after != before {
		t.Errorf("holds %+v, before %+v", after, before)
	}
}

type holding struct{ files, pictures int }

// held counts the open files and the mapped pictures of this process.
func held(t *testing.T) (h holding) {
	t.Helper()
	fds, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Fatal(err)
	}
	for _, fd := range fds {
		to, err := os.Readlink(filepath.Join("/proc/self/fd", fd.Name()))
		if errors.Is(err, fs.ErrNotExist) || strings.HasPrefix(to, "anon_inode:") {
			continue // the directory itself; the runtime's own
		}
		h.files++
	}
	h.pictures = strings.Count(string(read(t, "/proc/self/maps")), "decoded photograph")
	return h
}

// tellPeak writes the peak memory of this process.
func tellPeak() {
	if to := os.Getenv(peakTo); to != "" {
		status, _ := os.ReadFile("/proc/self/status")
		os.WriteFile(to, vmHWM.FindSubmatch(status)[1], 0o600)
	}
}

var vmHWM = regexp.MustCompile(`VmHWM:\s*(\d+) kB`)

// peak decodes a file and returns the peak memory of the child, in bytes.
func peak(t testing.TB, path string) (bytes int64, err error) {
	t.Helper()
	to := filepath.Join(t.TempDir(), "peak")
	testEnv = []string{peakTo + "=" + to}
	defer func() { testEnv = nil }()
	p, err := Open(t.Context(), path, photo.DefaultLimits())
	if err == nil {
		p.Close()
	}
	kib, parseErr := strconv.ParseInt(string(read(t, to)), 10, 64)
	if parseErr != nil {
		t.Fatal(parseErr)
	}
	return kib << 10, err
}
