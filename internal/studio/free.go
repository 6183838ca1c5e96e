package studio

import "sizewright/internal/system"

// Free is how many bytes this process can still write in the studio: less than
// the file system has free where some of that is kept for the superuser
// (f_bavail of statvfs(3)). A quota is not looked at.
func (s *Studio) Free() (bytes uint64, err error) {
	err = again(func() error {
		bytes, err = system.FreeBytes(int(s.tree.root.Fd()))
		return err
	})
	if err != nil {
		return 0, fault(s.dir, "cannot tell how much room there is", err)
	}
	return bytes, nil
}
