package intake

import "golang.org/x/sys/unix"

// fileSystems by the magic number of statfs(2). Any other is taken for a disk
// of this machine.
var fileSystems = map[uint32]fileSystem{
	unix.NFS_SUPER_MAGIC:   {share: "NFS", noLease: true},
	unix.SMB_SUPER_MAGIC:   {share: "SMB", noLease: true},
	unix.SMB2_SUPER_MAGIC:  {share: "SMB", noLease: true},
	unix.CIFS_SUPER_MAGIC:  {share: "SMB", noLease: true},
	unix.NCP_SUPER_MAGIC:   {share: "NCP", noLease: true},
	unix.AFS_SUPER_MAGIC:   {share: "AFS", noLease: true},
	unix.AFS_FS_MAGIC:      {share: "AFS", noLease: true},
	unix.CODA_SUPER_MAGIC:  {share: "Coda", noLease: true},
	unix.CEPH_SUPER_MAGIC:  {share: "Ceph", noLease: true},
	unix.OCFS2_SUPER_MAGIC: {share: "OCFS2", noLease: true},
	0x01161970:             {share: "GFS2", noLease: true}, // linux/gfs2_ondisk.h
	0x0bd00bd0:             {share: "Lustre", noLease: true},
	0x47504653:             {share: "GPFS", noLease: true},
	0x786f4256:             {share: "VirtualBox shared folder", noLease: true},
	unix.V9FS_MAGIC:        {share: "9P"},
	unix.FUSE_SUPER_MAGIC:  {share: "FUSE"},
	0x2fc12fc1 /* ZFS */ :  {zerosAreHoles: true},
}

func kindOfDir(dir string) (k fileSystem) {
	var st unix.Statfs_t
	if unix.Statfs(dir, &st) == nil {
		k = fileSystems[uint32(st.Type)]
	}
	return k
}

func kindOfFile(fd int) (k fileSystem) {
	var st unix.Statfs_t
	if unix.Fstatfs(fd, &st) == nil {
		k = fileSystems[uint32(st.Type)]
	}
	return k
}
