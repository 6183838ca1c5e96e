//go:build linux

package faults

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
)

// Use is a daemon's use of resources at one moment.
type Use struct {
	RSSKiB, PeakKiB int
	Handles         int
	Goroutines      int // 0 if unknown
}

// Use measures the process from outside.
func (d *Daemon) Use() (u Use, err error) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", d.PID()))
	if err != nil {
		return u, err
	}
	for line := range strings.Lines(string(status)) {
		fmt.Sscanf(line, "VmRSS: %d kB", &u.RSSKiB)
		fmt.Sscanf(line, "VmHWM: %d kB", &u.PeakKiB)
	}
	handles, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", d.PID()))
	u.Handles = len(handles)
	return u, err
}

// goroutines returns the number of goroutines that a daemon has written in the studio.
func (n *Trial) goroutines(pid int) int {
	var says struct {
		PID   int `json:"pid"`
		Doing struct {
			Goroutines int `json:"goroutines"`
		} `json:"doing"`
	}
	data, err := os.ReadFile(n.path(".sizewright", "status.json"))
	if err != nil || json.Unmarshal(data, &says) != nil || says.PID != pid {
		return 0
	}
	return says.Doing.Goroutines
}
