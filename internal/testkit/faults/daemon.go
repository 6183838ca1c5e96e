//go:build linux

package faults

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// stopPatience is how long a daemon may take to stop.
const stopPatience = time.Minute

// Daemon is one process of `sizewright serve`.
type Daemon struct {
	Started time.Time

	cmd    *exec.Cmd
	log    log
	ended  chan struct{} // closed when the process has ended
	meant  bool          // the test ended it
	status error
	wrong  Findings
}

// Start starts a daemon on the trial's studio. files, if not 0, limits its number of file
// handles.
func (n *Trial) Start(files int) *Daemon {
	args := []string{n.Binary, "serve", "--studio", n.Studio()}
	if files > 0 {
		args = append([]string{"/bin/sh", "-c", fmt.Sprintf(`ulimit -n %d && exec "$0" "$@"`, files)}, args...)
	}
	return n.launch(n.Studio(), args...)
}

// launch starts a process in a directory, which is stopped with the daemons.
func (n *Trial) launch(dir string, args ...string) *Daemon {
	d := &Daemon{Started: time.Now(), cmd: exec.Command(args[0], args[1:]...), ended: make(chan struct{})}
	d.cmd.Stdout, d.cmd.Stderr = &d.log, &d.log
	d.cmd.Dir = dir
	d.cmd.WaitDelay = 2 * time.Second // a child that lives longer keeps its standard error open
	d.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if n.UID != 0 {
		d.cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(n.UID), Gid: uint32(n.UID)}
	}
	if err := d.cmd.Start(); err != nil {
		panic("faults: " + err.Error())
	}
	n.daemons = append(n.daemons, d)
	go func() {
		d.status = d.cmd.Wait()
		close(d.ended)
	}()
	return d
}

// PID returns the daemon's process ID.
func (d *Daemon) PID() int { return d.cmd.Process.Pid }

// Alive reports whether the process is running.
func (d *Daemon) Alive() bool {
	select {
	case <-d.ended:
		return false
	default:
		return true
	}
}

// Kill ends it with SIGKILL.
func (d *Daemon) Kill() {
	d.mourn("before it was killed")
	d.meant = true
	d.cmd.Process.Kill() // an error means that it has ended
	<-d.ended
}

// Stop ends it with SIGTERM, and notes a finding if it does not end normally.
func (d *Daemon) Stop() {
	if d.mourn("by itself"); d.meant {
		return
	}
	d.meant = true
	d.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case <-d.ended:
		if d.status != nil {
			d.wrong.add(Wrong, "told to stop, the daemon ended with %v: %s", d.status, d.log.tail(3))
		}
	case <-time.After(stopPatience):
		d.wrong.add(Wrong, "told to stop, the daemon went on for %v: %s", stopPatience, d.log.tail(3))
		d.cmd.Process.Kill()
		<-d.ended
	}
}

// mourn notes a finding if the daemon ended by itself.
func (d *Daemon) mourn(when string) {
	if !d.meant && !d.Alive() {
		d.meant = true
		d.wrong.add(Wrong, "the daemon ended %s with %v: %s", when, d.status, d.log.tail(5))
	}
}

// Hangup makes it read its configuration again.
func (d *Daemon) Hangup() { d.cmd.Process.Signal(syscall.SIGHUP) }

// Said reports whether the log contains a text.
func (d *Daemon) Said(text string) bool { return d.log.has(text) }

// Serving waits until the daemon is ready, and reports whether it became ready.
func (d *Daemon) Serving(ctx context.Context, patience time.Duration) bool {
	for end := time.Now().Add(patience); time.Now().Before(end) && d.Alive() && ctx.Err() == nil; {
		if d.Said(`"msg":"serving"`) {
			return true
		}
		time.Sleep(time.Millisecond)
	}
	return false
}

// log is the output of a daemon, of which the beginning and the end are kept.
type log struct {
	mu          sync.Mutex
	first, last bytes.Buffer
}

const logKept = 1 << 20

func (l *log) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.first.Len() < logKept {
		return l.first.Write(p)
	}
	if l.last.Len() > logKept {
		l.last.Next(l.last.Len() / 2)
	}
	return l.last.Write(p)
}

func (l *log) has(text string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return bytes.Contains(l.first.Bytes(), []byte(text)) || bytes.Contains(l.last.Bytes(), []byte(text))
}

func (l *log) tail(lines int) string {
	l.mu.Lock()
	defer l.mu.Unlock()
	all := strings.Split(strings.TrimSpace(l.first.String()+l.last.String()), "\n")
	return strings.Join(all[max(0, len(all)-lines):], "\n\t")
}

// orphans returns processes of the daemon that still run in a studio: their working
// directory is in it, as is that of every process that they start.
func orphans(studio string) (pids []int) {
	for range 20 { // a process that was told to end may need a moment
		pids = nil
		dirs, _ := filepath.Glob("/proc/[0-9]*")
		for _, dir := range dirs {
			if cwd, err := os.Readlink(dir + "/cwd"); err == nil && cwd == studio {
				pid, _ := strconv.Atoi(filepath.Base(dir))
				pids = append(pids, pid)
			}
		}
		if len(pids) == 0 {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	slices.Sort(pids)
	return pids
}
