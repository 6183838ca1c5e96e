package isolate

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"golang.org/x/sys/unix"

	"sizewright/internal/capability"
	"sizewright/internal/photo"
	"sizewright/internal/remedy"
	"sizewright/internal/system"
)

// variable is set only in the child's environment. It holds the limits.
const variable = "SIZEWRIGHT_DECODE"

// exitFault is the exit status of a child that failed for a reason other than the
// picture; its standard error says why. The Go runtime's own failures exit with 2.
const exitFault = 3

// heapSlack is how much the heap may grow before a garbage collection, in per cent. It
// is low because the child holds little besides the picture and frees almost nothing.
const heapSlack = 25

// Main decodes a photograph if this process was started to do that, and reports whether
// it was; the caller must then return from main. Call it first in main, and in TestMain
// of tests that use [Open].
func Main() bool {
	limits, isChild := os.LookupEnv(variable)
	if !isChild {
		return false
	}
	// A signal that stops the parent may be sent to the whole process group. The parent
	// decides, and stops this process if needed.
	signal.Ignore(syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP)
	if err := decodeAsChild(limits); err != nil {
		fmt.Fprint(os.Stderr, err)
		os.Exit(exitFault)
	}
	return true
}

func decodeAsChild(limits string) error {
	debug.SetGCPercent(heapSlack)
	system.RaiseOOMScore()
	system.ExitWithParent()
	if err := capability.DropAll(); err != nil && !errors.Is(err, capability.ErrThreads) {
		return fmt.Errorf("its decoding process cannot drop its capabilities: %w", err)
	}
	var lim photo.Limits
	if err := json.Unmarshal([]byte(limits), &lim); err != nil {
		return err
	}
	name := os.Args[len(os.Args)-1]
	f, mem := os.NewFile(3, name), os.NewFile(4, "memory")
	if f == nil || mem == nil {
		return remedy.Errorf("unset it", "the environment variable %s is for sizewright's own use", variable)
	}
	room, err := photo.OpenRoom(mem)
	if err != nil {
		return err
	}
	if err := limit(lim, mostWritten(mem, lim)); err != nil {
		return fmt.Errorf("its decoding process cannot limit itself: %w", err)
	}
	p, err := decodeFile(f, name, lim, room)
	if errors.Is(err, photo.ErrKilled) {
		signalMyself(syscall.SIGKILL) // so that the parent hears of it as of this process's own end
	}
	return photo.Share(mem, p, err)
}

// signalMyself ends this process as the signal would, at once.
func signalMyself(s syscall.Signal) {
	_ = syscall.Kill(os.Getpid(), s)
	select {}
}

// decodeFile decodes in the child. Tests replace it with functions that crash or hang.
var decodeFile = photo.Decode

// mostWritten is how long the result may become: a room is full length from the start, and
// only the report comes after it.
func mostWritten(mem *os.File, lim photo.Limits) int64 {
	if st, err := mem.Stat(); err == nil && st.Size() > 0 {
		return st.Size() + 2*int64(lim.MaxProfileBytes) + 16<<20
	}
	return lim.MaxMemoryBytes
}

// limit sets this process's own resource limits. The files it writes have one of their own.
func limit(lim photo.Limits, written int64) error {
	has, err := system.UsedDataBytes()
	if err != nil {
		return err
	}
	for resource, most := range map[int]int64{
		unix.RLIMIT_CORE:  0,
		unix.RLIMIT_DATA:  has + lim.MaxMemoryBytes,
		unix.RLIMIT_FSIZE: written,
	} {
		if err := lower(resource, uint64(most)); err != nil {
			return err
		}
	}
	return nil
}

// lower lowers a limit permanently, unless it is lower already.
func lower(resource int, most uint64) error {
	var now unix.Rlimit
	if err := unix.Getrlimit(resource, &now); err != nil {
		return os.NewSyscallError("getrlimit", err)
	}
	most = min(most, now.Max)
	return os.NewSyscallError("setrlimit", unix.Setrlimit(resource, &unix.Rlimit{Cur: most, Max: most}))
}
