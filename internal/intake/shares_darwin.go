package intake

import (
	"strings"

	"golang.org/x/sys/unix"
)

func kindOfDir(dir string) fileSystem {
	var st unix.Statfs_t
	if unix.Statfs(dir, &st) != nil {
		return fileSystem{}
	}
	return kindOf(&st)
}

func kindOfFile(fd int) fileSystem {
	var st unix.Statfs_t
	if unix.Fstatfs(fd, &st) != nil {
		return fileSystem{}
	}
	return kindOf(&st)
}

// shareNames are what people call a kind of file system that mount(8) names otherwise.
var shareNames = map[string]string{"nfs": "NFS", "smbfs": "SMB", "afpfs": "AFP", "webdav": "WebDAV"}

// kindOf goes by what statfs(2) says: a file system without MNT_LOCAL is a share.
func kindOf(st *unix.Statfs_t) fileSystem {
	name := unix.ByteSliceToString(st.Fstypename[:])
	k := fileSystem{noLease: true, zerosAreHoles: name == "zfs"}
	switch known := shareNames[name]; {
	case known != "":
		k.share = known
	case strings.Contains(name, "fuse"):
		k.share = "FUSE"
	case st.Flags&unix.MNT_LOCAL == 0:
		k.share = name
	}
	return k
}
