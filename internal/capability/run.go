package capability

import (
	"errors"
	"os/exec"
	"runtime"
)

// Run is like cmd.Run, but the process inherits no capability.
func Run(cmd *exec.Cmd) error {
	runtime.LockOSThread()
	err := ClearInheritable()
	if err == nil {
		err = cmd.Start()
	}
	runtime.UnlockOSThread()
	if err != nil {
		return err
	}
	return cmd.Wait()
}

// ErrThreads reports that a process that uses cgo cannot change all of its threads.
var ErrThreads = errors.New("capabilities cannot be dropped on all threads of a process that uses cgo")
