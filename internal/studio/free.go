package studio

import "golang.org/x/sys/unix"

// Free is how many bytes this process can still write in the studio: less than
// the file system has free where some of that is kept for the superuser
// (f_bavail of statvfs(3)). A quota is not looked at.
func (s *Studio) Free() (bytes uint64, err error) {
	var st unix.Statfs_t
	if err := again(func() error { return unix.Fstatfs(int(s.tree.root.Fd()), &st) }); err != nil {
		return 0, fault(s.dir, "cannot tell how much room there is", err)
	}
	size := st.Frsize
	if size == 0 { // kernels that do not tell mean Bsize
		size = st.Bsize
	}
	return st.Bavail * uint64(size), nil
}
