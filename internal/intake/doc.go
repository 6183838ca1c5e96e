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
// There are three ways in. [Scan] looks once. [Settled] looks until all is
// steady, for a run that makes what waits and stops. [Watcher] goes on
// looking, for the daemon: file system events tell it when to look, but never
// what it sees. Every look reads the directories afresh, so an event lost,
// doubled or never sent (as on a network share) costs time, not a photograph.
//
// intake only looks. It opens no photograph, moves nothing, and follows no
// link. Whoever takes a candidate must still expect it to be gone, or to be
// another thing, by then.
//
// A steady file may be incomplete all the same, when its writer pauses.
// [Options].Whole is where a closer look (a lease, the end of the file's own
// format) has its say.
package intake
