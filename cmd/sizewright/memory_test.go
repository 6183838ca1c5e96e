package main

import (
	"testing"
	"testing/fstest"
)

func TestTheMemoryThisProcessMayHave(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	const group = "sys/fs/cgroup/system.slice/sizewright.service/"
	for _, c := range []struct {
		claim string
		files fstest.MapFS
		want  int64
	}{
		{"none is set", fstest.MapFS{"proc/self/cgroup": file("0::/\n"), "sys/fs/cgroup/memory.max": file("max\n")}, 0},
		{"there are no groups", fstest.MapFS{}, 0},
		{"an older kernel's groups are not read", fstest.MapFS{"proc/self/cgroup": file("4:memory:/x\n"), "sys/fs/cgroup/x/memory.max": file("5\n")}, 0},
		{"the unit's own", fstest.MapFS{"proc/self/cgroup": file("0::/system.slice/sizewright.service\n"),
			group + "memory.max": file("2147483648\n"), group + "memory.high": file("1073741824\n")}, 1 << 30},
		{"the slice's, where it is less", fstest.MapFS{"proc/self/cgroup": file("0::/system.slice/sizewright.service\n"),
			group + "memory.max": file("2147483648\n"), "sys/fs/cgroup/system.slice/memory.max": file("536870912\n")}, 1 << 29},
		{"a container's, which sees itself at the top", fstest.MapFS{"proc/self/cgroup": file("0::/\n"), "sys/fs/cgroup/memory.max": file("1073741824\n")}, 1 << 30},
	} {
		got, ok := groupMemory(c.files)
		if got != c.want || ok != (c.want > 0) {
			t.Errorf("%s: %d, %v; want %d", c.claim, got, ok, c.want)
		}
		if got := memoryForDecoding(c.files); got > c.want*3/4 || c.want > 0 && got < c.want/2 {
			t.Errorf("%s: decoding may take %d of it, want more than half and something left for the daemon", c.claim, got)
		}
	}
}
