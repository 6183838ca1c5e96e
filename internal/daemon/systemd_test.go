package daemon

import (
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// notices is what a daemon tells systemd, by sd_notify(3)'s protocol: datagrams to a
// socket that the environment names.
func notices(t *testing.T) <-chan string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "notify")
	socket, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: name, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { socket.Close() })
	t.Setenv("NOTIFY_SOCKET", name)
	heard := make(chan string, 1000)
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := socket.Read(buf)
			if err != nil {
				return
			}
			heard <- string(buf[:n])
		}
	}()
	return heard
}

// hears waits for a notice that begins so, for a minute.
func hears(t *testing.T, heard <-chan string, begins string) {
	t.Helper()
	late := time.After(time.Minute)
	for {
		select {
		case got := <-heard:
			if strings.HasPrefix(got, begins) {
				return
			}
		case <-late:
			t.Fatalf("systemd never hears %s", begins)
		}
	}
}

func TestSystemdHearsHowTheDaemonIs(t *testing.T) {
	heard := notices(t)
	t.Setenv("WATCHDOG_USEC", "4000000")
	t.Setenv("WATCHDOG_PID", strconv.Itoa(os.Getpid()))
	_, o := newStudio(t, "A6", quick)
	reload := make(chan os.Signal)
	o.Reload = reload
	stop := serving(t, o)
	hears(t, heard, "READY=1")
	hears(t, heard, "WATCHDOG=1")
	hears(t, heard, "WATCHDOG=1")
	reload <- syscall.SIGHUP
	hears(t, heard, "RELOADING=1\nMONOTONIC_USEC=")
	hears(t, heard, "READY=1")
	stop()
	hears(t, heard, "STOPPING=1")
}
