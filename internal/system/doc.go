// Package system holds the calls that differ between operating systems, one function
// for each, so that no other package depends on the operating system.
//
// Linux gives every guarantee. macOS has a call of its own for most of them. Where its
// guarantee is weaker, [WeakGuarantees] describes it in a sentence, and the check command
// prints that. macOS builds are compiled and vetted, but our tests never run on macOS.
//
//	what                                    Linux                       macOS
//	rename without replacing a file         renameat2 RENAME_NOREPLACE  renameatx_np RENAME_EXCL
//	an unnamed file in memory               memfd_create, sealed        an unlinked temporary file
//	start writing pages to the disk         sync_file_range             left to fsync
//	fsync that reaches the medium           fsync                       fcntl F_FULLFSYNC (Go's File.Sync)
//	read again from the disk                posix_fadvise DONTNEED      may return cached pages
//	free space for this user                statfs f_bavail x f_frsize  statfs f_bavail x f_bsize
//	new files writable by the group         a default ACL, acl(5)       left to the umask
//	is a file open for writing              a lease, fcntl(2)           not known (package intake)
//	find a hole in a file                   lseek SEEK_HOLE             lseek SEEK_HOLE
//	this program, even when replaced        /proc/self/exe              its path, whatever lies there
//	kill a child with its parent            prctl PR_SET_PDEATHSIG      kqueue NOTE_EXIT, by the child
//	limit a child's memory                  setrlimit RLIMIT_DATA       no limit is enforced
//	identify this boot of the machine       random(4) boot_id           sysctl kern.bootsessionuuid
//
// The sources are the manual pages of those calls: renameat2(2), memfd_create(2),
// sync_file_range(2), statfs(2), fcntl(2), prctl(2), setrlimit(2) and random(4) on
// Linux; rename(2), fcntl(2), statfs(2), kqueue(2) and setrlimit(2) on macOS.
package system
