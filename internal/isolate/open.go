package isolate

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"

	"sizewright/internal/capability"
	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/remedy"
	"sizewright/internal/system"
)

// Open decodes the file at path in a process of its own. It returns exactly what
// [photo.Open] returns, or one of two kinds of error. A [*hold.Hold] says what is
// wrong with the file; its kind is [Stopped] if decoding took more time or memory
// than lim allows, or crashed. Any other error says what is wrong with the machine
// ([ErrKilled]: its memory ran out), or that ctx has ended; then nothing is known about
// the file.
//
// The picture's memory is outside Go's heap: close the picture when it is no longer
// needed.
//
// A picture that is too large for memory is decoded to a file without a name in TMPDIR,
// or in /var/tmp; [In] has it in another directory.
func Open(ctx context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
	return In(cmp.Or(os.Getenv("TMPDIR"), "/var/tmp"))(ctx, path, lim)
}

// In returns [Open] with the directory for pictures that are too large for memory.
func In(dir string) func(ctx context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
	return func(ctx context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
		return open(ctx, dir, path, lim)
	}
}

func open(ctx context.Context, dir, path string, lim photo.Limits) (*photo.Photo, error) {
	name := filepath.Base(path)
	f, err := photo.OpenFile(path, lim)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	p, err := decode(ctx, f, dir, name, lim)
	var bad *hold.Hold
	if err == nil || errors.As(err, &bad) {
		return p, err
	}
	return nil, fmt.Errorf("%s was not decoded: %w", name, err)
}

func decode(ctx context.Context, f *os.File, dir, name string, lim photo.Limits) (*photo.Photo, error) {
	room := photo.RoomFor(f, name, lim)
	mem, err := fileFor(room, dir)
	if err != nil {
		return nil, err
	}
	defer mem.Close()
	if err := runChild(ctx, f, mem, name, lim); err != nil {
		return nil, err
	}
	// The child has ended, so no other process has the file open. Sealing it guarantees
	// that the planes are never truncated while they are mapped. One on the disk, which
	// cannot be sealed, has no name by which it could be opened.
	if err := system.Seal(mem); err != nil && room == 0 {
		return nil, err
	}
	return photo.Adopt(mem, room > 0)
}

// fileFor makes the file through which a picture comes.
func fileFor(room int64, dir string) (*os.File, error) {
	if room == 0 {
		return system.MemoryFile("decoded photograph")
	}
	f, err := system.RoomFile(dir, room)
	if err != nil {
		return nil, remedy.Errorf("make room there", "its pixels are more than memory is for, and %s has no room for a file of %.1f GiB to decode it to (%w)",
			dir, float64(room)/(1<<30), err)
	}
	return f, nil
}

// runChild runs the child and waits for it to end.
func runChild(ctx context.Context, f, mem *os.File, name string, lim photo.Limits) error {
	st, err := f.Stat()
	if err != nil {
		return err
	}
	allowed := lim.TimeFor(st.Size())
	timed, stop := context.WithTimeout(ctx, allowed)
	defer stop()
	cmd, err := command(timed, name, lim)
	if err != nil {
		return err
	}
	cmd.ExtraFiles = []*os.File{f, mem} // fds 3 and 4
	said := &prefix{}
	cmd.Stderr = said

	// The child is killed when the thread that started it ends, so keep this thread.
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if err := capability.ClearInheritable(); err != nil {
		return err
	}
	err = cmd.Run()
	if err == nil || ctx.Err() != nil {
		return context.Cause(ctx)
	}
	if timed.Err() != nil {
		return timeoutError(name, allowed)
	}
	var exit *exec.ExitError
	if !errors.As(err, &exit) {
		return remedy.Errorf("check that "+system.ProgramNeeds+", and that the limits on processes and open files are not reached", "its decoding process cannot be started (%w)", err)
	}
	return exitError(name, exit.Sys().(syscall.WaitStatus), said.String(), lim)
}

// program is the path of this program, valid even after its file has been replaced.
var program = system.Program()

// command returns the child's command, with none of this process's environment.
func command(ctx context.Context, name string, lim photo.Limits) (*exec.Cmd, error) {
	limits, err := json.Marshal(lim)
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, program)
	// The name is for lists of processes.
	cmd.Args = []string{os.Args[0], "decoding", name}
	cmd.Env = slices.Concat([]string{variable + "=" + string(limits), "GOMAXPROCS=1"}, ownEnv, testEnv)
	cmd.Dir = "/"
	cmd.SysProcAttr = system.KilledWithParent()
	return cmd, nil
}

// testEnv is added to the child's environment by tests.
var testEnv []string
