package main

import (
	"io/fs"
	"os"
	"path"
	"runtime/debug"
	"strconv"
	"strings"
)

// memoryShare is the share of the available memory to which the heap of this process grows
// before the collector works harder. The rest is for decoding, which is another process of
// the same control group, and for files on their way to the disk.
const memoryShare = 0.7

// decodingShare is the share that the decoding process may use. The daemon's heap and the
// picture that is being printed need the rest.
const decodingShare = 0.6

// memoryForDecoding returns how many bytes decoding may use of the limit on this process's
// control group; 0 if there is no limit.
func memoryForDecoding(root fs.FS) int64 {
	limit, _ := groupMemory(root)
	return int64(decodingShare * float64(limit))
}

// keepWithinMemory makes the collector respect the limit that systemd, for example, put on
// this process's control group. A GOMEMLIMIT in the environment has priority.
func keepWithinMemory() {
	if os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	if limit, ok := groupMemory(os.DirFS("/")); ok {
		debug.SetMemoryLimit(int64(memoryShare * float64(limit)))
	}
}

// groupMemory returns the least memory.high or memory.max, in bytes, of this process's
// control group (version 2, see the kernel's cgroup-v2.rst) and the groups above it.
func groupMemory(root fs.FS) (limit int64, ok bool) {
	data, err := fs.ReadFile(root, "proc/self/cgroup")
	if err != nil {
		return 0, false
	}
	for line := range strings.Lines(string(data)) {
		group, found := strings.CutPrefix(strings.TrimSpace(line), "0::")
		for ; found; group = path.Dir(group) {
			for _, name := range []string{"memory.high", "memory.max"} {
				if v, is := memoryValue(root, path.Join("sys/fs/cgroup", group, name)); is && (!ok || v < limit) {
					limit, ok = v, true
				}
			}
			if group == "/" || group == "." {
				break
			}
		}
	}
	return limit, ok
}

func memoryValue(root fs.FS, name string) (bytes int64, ok bool) {
	data, err := fs.ReadFile(root, name)
	if err != nil {
		return 0, false
	}
	v, err := strconv.ParseInt(strings.TrimSpace(string(data)), 10, 64) // "max" means no limit
	return v, err == nil && v > 0
}
