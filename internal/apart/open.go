package apart

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"

	"sizewright/internal/capability"
	"sizewright/internal/photo"
	"sizewright/internal/system"
)

// Open decodes the file at path in a process of its own. It gives what
// [photo.Open] gives, bit for bit, or one of two sorts of error. An [*photo.Error]
// says what is wrong with the file; of kind [photo.Stopped], that its decoding took
// more time or memory than lim allows, or crashed. Any other error says what is wrong
// with the machine ([ErrKilled]: its memory ran out), or that ctx has ended, and that
// nothing is known of the file.
//
// The picture lies outside of Go's heap: close it once it is done with.
func Open(ctx context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
	name := filepath.Base(path)
	f, err := photo.OpenFile(path, lim)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	p, err := decode(ctx, f, name, lim)
	var bad *photo.Error
	if err == nil || errors.As(err, &bad) {
		return p, err
	}
	return nil, fmt.Errorf("%s was not decoded: %w", name, err)
}

func decode(ctx context.Context, f *os.File, name string, lim photo.Limits) (*photo.Photo, error) {
	mem, err := system.MemoryFile("decoded photograph")
	if err != nil {
		return nil, err
	}
	defer mem.Close()
	if err := runChild(ctx, f, mem, name, lim); err != nil {
		return nil, err
	}
	// Nobody else has it open any more; this says so to the system, which then
	// never lets the planes be cut short under a reader.
	if err := system.Seal(mem); err != nil {
		return nil, err
	}
	return photo.Adopt(mem, name)
}

// runChild runs the child to its end.
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
	said := &head{}
	cmd.Stderr = said

	// The child dies with the thread that started it, so this one stays.
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if err := capability.Withhold(); err != nil {
		return err
	}
	err = cmd.Run()
	if err == nil || ctx.Err() != nil {
		return context.Cause(ctx)
	}
	if timed.Err() != nil {
		return tookTooLong(name, allowed)
	}
	var exit *exec.ExitError
	if !errors.As(err, &exit) {
		return fmt.Errorf("a process to decode it in cannot be started (%w); check that %s and that processes and file handles are left", err, system.ProgramNeeds)
	}
	return ended(name, exit.Sys().(syscall.WaitStatus), said.String(), lim)
}

// program is this very program, also once its file has been replaced.
var program = system.Program()

// command is the child, with nothing of this process's environment.
func command(ctx context.Context, name string, lim photo.Limits) (*exec.Cmd, error) {
	order, err := encode(lim)
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, program)
	// The name is for people who look at a list of processes.
	cmd.Args = []string{os.Args[0], "decoding", name}
	cmd.Env = slices.Concat([]string{variable + "=" + order, "GOMAXPROCS=1"}, ownEnv, testEnv)
	cmd.Dir = "/"
	cmd.SysProcAttr = system.DiesWithParent()
	return cmd, nil
}

// testEnv is what tests add to a child's environment.
var testEnv []string
