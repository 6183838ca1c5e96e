package main

import (
	"io/fs"
	"os"
	"path"
	"runtime/debug"
	"strconv"
	"strings"
)

// memoryShare is how much of the memory this process may have its heap grows to
// before the collector works harder; the rest is for decoding, which is another
// process of the same group, and for files on their way to the disk.
const memoryShare = 0.7

// decodingShare is how much of it the process that decodes may take: beside it lie
// the daemon's heap and the picture that is on the press.
const decodingShare = 0.6

// memoryForDecoding is what decoding may take of the limit on this process's control
// group, in bytes; 0 where there is none.
func memoryForDecoding(root fs.FS) int64 {
	limit, _ := groupMemory(root)
	return int64(decodingShare * float64(limit))
}

// keepWithinMemory has the collector heed the limit that systemd, or whoever started
// us, put on this process's control group. A GOMEMLIMIT in the environment counts
// before it.
func keepWithinMemory() {
	if os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	if limit, ok := groupMemory(os.DirFS("/")); ok {
		debug.SetMemoryLimit(int64(memoryShare * float64(limit)))
	}
}

// groupMemory is the least memory.high or memory.max of this process's control group
// (version 2, see the kernel's cgroup-v2.rst) and those above it, in bytes.
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
	v, err := strconv.ParseInt(strings.TrimSpace(string(data)), 10, 64) // "max" is none
	return v, err == nil && v > 0
}
