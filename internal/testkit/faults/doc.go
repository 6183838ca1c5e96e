// Package faults is for tests and scripts. It runs the daemon through bad nights and audits
// the studio afterwards.
//
// A [Trial] is a studio in a directory of its own, a [Ledger] of every photograph that was
// dropped into it, and daemons ([Daemon]). A daemon is the real binary, controlled from
// outside by its command line, by signals, and by the things that people and disks do to
// directories. A mode ([Modes]) is one kind of bad night: killed, out of room, without
// permission, started twice. At the end [Audit] compares the studio with the ledger, and
// with nothing else: it trusts no log and no exit status.
//
// These must hold, whatever happened:
//
//   - each original is in exactly one place, byte for byte as it was dropped;
//   - each order was made exactly once, or held exactly once;
//   - no file under a final name is partial, and a record names each of them;
//   - no claim is left over;
//   - nothing was written outside the studio.
//
// All random numbers come from one seed, but the moments at which things happen depend on
// the machine: the same seed drops the same pictures but does not repeat the same night.
package faults
