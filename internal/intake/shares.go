package intake

// fileSystem is what matters here of a kind of file system.
type fileSystem struct {
	share string // its name if others may write to it from elsewhere: they cause no events here, and hold no lease
	// noLease: a lease is refused, or refused as though the file were open.
	// NFS 4 says EAGAIN for want of a delegation, SMB for want of an oplock.
	noLease bool
	// zerosAreHoles: zeros that were written become holes.
	zerosAreHoles bool
}
