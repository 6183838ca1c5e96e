// Package system holds the calls that operating systems make differently, one
// function for each, so that no other package asks which system it runs on.
//
// Linux gives every guarantee. macOS has a call of its own for most of them; where
// its guarantee is weaker, [Weaker] says so in a sentence for people, and the check
// command prints it. macOS builds are compiled and vetted, never run by our tests.
//
//	what                                    Linux                       macOS
//	rename, never over another file         renameat2 RENAME_NOREPLACE  renameatx_np RENAME_EXCL
//	a file in memory without a name         memfd_create, sealed        an unlinked temporary file
//	send pages to the disk as they come     sync_file_range             left to fsync
//	fsync that reaches the medium           fsync                       fcntl F_FULLFSYNC (Go's File.Sync)
//	read again what was read before         posix_fadvise DONTNEED      what was read may be kept
//	room left for this user                 statfs f_bavail x f_frsize  statfs f_bavail x f_bsize
//	whoever makes a file, the group may     a default ACL, acl(5)       left to the umask
//	does anybody write to a file            a lease, fcntl(2)           not known (package intake)
//	find what was never written             lseek SEEK_HOLE             lseek SEEK_HOLE
//	this program, also when replaced        /proc/self/exe              its path, whatever lies there
//	a child dies with its parent            prctl PR_SET_PDEATHSIG      kqueue NOTE_EXIT, by the child
//	a child's memory has a limit            setrlimit RLIMIT_DATA       no limit that is kept
//	which boot of the machine this is       random(4) boot_id           sysctl kern.bootsessionuuid
//
// The sources are the manual pages of those calls: renameat2(2), memfd_create(2),
// sync_file_range(2), statfs(2), fcntl(2), prctl(2), setrlimit(2) and random(4) on
// Linux; rename(2), fcntl(2), statfs(2), kqueue(2) and setrlimit(2) on macOS.
package system
