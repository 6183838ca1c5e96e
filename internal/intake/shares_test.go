package intake

import (
	"strings"
	"testing"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"
	"golang.org/x/sys/unix"
)

// Numbers of statfs(2) and linux/magic.h.
func TestSharesAreKnownByTheirFileSystem(t *testing.T) {
	for magic, want := range map[uint32]string{
		0x6969: "NFS", 0xff534d42: "SMB", 0xfe534d42: "SMB", 0x517b: "SMB", 0x65735546: "FUSE", 0x01021997: "9P",
		unix.EXT4_SUPER_MAGIC: "", unix.BTRFS_SUPER_MAGIC: "", unix.XFS_SUPER_MAGIC: "", unix.TMPFS_MAGIC: "", unix.OVERLAYFS_SUPER_MAGIC: "",
	} {
		if got := fileSystems[magic].share; got != want {
			t.Errorf("%#x: %q, want %q", magic, got, want)
		}
	}
	var st unix.Statfs_t
	if err := unix.Statfs("/proc", &st); err != nil {
		t.Fatal(err)
	}
	if k, ok := fileSystems[uint32(st.Type)]; ok || kindOfDir("/proc") != k {
		t.Errorf("/proc: %+v", k)
	}
}

func TestAShareIsToldOnceAndFoundByRescans(t *testing.T) {
	t.Parallel()
	core, logs := observer.New(zapcore.InfoLevel)
	drop := newDrop(t, "A2", "A3")
	w := New(drop, Options{Settle: soon, Rescan: soon, Log: zap.New(core)})
	w.events = func(log *zap.Logger) *events {
		e := newEvents(log)
		e.kind = func(string) fileSystem { return fileSystems[unix.NFS_SUPER_MAGIC] }
		return e
	}
	out := running(t, w)
	put(t, drop, "A2/marsh.jpg", "x")
	next(t, out)
	lookTwice(t, w)
	if n := logs.FilterField(zap.String("share", "NFS")).Len(); n != 1 || !strings.Contains(logs.All()[0].Message, "next rescan") {
		t.Errorf("told %d times: %v", n, logs.All())
	}
}
