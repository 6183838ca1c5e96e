// Package intake decides when a dropped photograph is whole.
//
// A file appears in a drop folder long before it is all there: a copy from a
// card takes seconds, one over a share minutes, and neither says when it is
// done. intake looks again and again, and takes a file for whole when its size
// and modification time have stayed the same for a while ("settle") as seen by
// its own clock. It does not compare modification times with the time of day:
// cameras, cards and file servers each have their own idea of it, and a copy
// often keeps the time of the original.
//
// There are three ways to look. [Scan] looks once. [Settled] looks until all is
// steady, for a run that makes what waits and stops. [Watcher] goes on
// looking, for the daemon: file system events tell it when to look, but never
// what it sees. Every look reads the directories afresh, so an event lost,
// doubled or never sent (as on a network share) costs time and loses no photograph.
//
// # Steady is not whole
//
// A steady file may be half a photograph whose writer pauses, or has died. So
// before a file is offered it is looked at closely (whole.go), once:
//
//	steady ──> a plain file, one name ──> nobody writes ──> its end is there ──> offered
//	tracker.go       scan.go              lease_linux.go    photo.Ended
//
// Whether any process has it open for writing the kernel knows, and tells by
// granting or refusing a read lease. It does not know of writers on other machines, and
// answers only a file's owner or a process with CAP_LEASE. Where there is no answer, the
// log says so once; the file then rests for longer and is looked at again: what was zeros
// must still be zeros (blanks.go). How a file ends depends on its format, see
// [sizewright/internal/photo.Ended]. A file that is no picture is offered too, so that
// its order can be held with that reason.
//
// A file that is steady and not whole waits until somebody completes it. It is never
// offered before that, and is reported as a [LeftAlone] after [Options].StalledAfter.
//
// intake reads, moves nothing, follows no link, and opens nothing but plain
// files with a single name. Whoever takes a candidate must still expect it to
// be gone or changed by then; [StillWhole] asks again.
package intake
