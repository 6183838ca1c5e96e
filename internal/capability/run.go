package capability

import (
	"errors"
	"os/exec"
	"runtime"
)

// Run is cmd.Run for a process that inherits no capability.
func Run(cmd *exec.Cmd) error {
	if err := start(cmd); err != nil {
		return err
	}
	return cmd.Wait()
}

func start(cmd *exec.Cmd) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if err := Withhold(); err != nil {
		return err
	}
	return cmd.Start()
}

// ErrThreads says that a process that uses cgo cannot do it for all its threads.
var ErrThreads = errors.New("not for all threads of a process that uses cgo")
