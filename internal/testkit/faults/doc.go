// Package faults is for tests and scripts: it puts the daemon through bad nights and
// audits the studio afterwards.
//
// A [Night] is a studio on a directory of its own, a [Ledger] of every photograph that
// was dropped into it, and daemons ([Daemon]) that are the binary itself, driven from
// outside by its command line, by signals and by what people and disks do to
// directories. A mode ([Modes]) is one kind of bad night: killed, out of room, without
// permission, twice over. At its end [Audit] compares the studio with the ledger, and
// with nothing else: it believes no log and no exit status.
//
// What must hold, whatever happened:
//
//   - each original is in exactly one place, byte for byte as it was dropped;
//   - each order was made exactly once, or held exactly once;
//   - no file under a final name is partial, and none lies there that no record names;
//   - nothing is in hand that nobody has in hand;
//   - nothing was written outside the studio.
//
// Everything random comes from one seed, but the moments at which things happen are
// the machine's: the same seed drops the same pictures, and is no replay.
package faults
