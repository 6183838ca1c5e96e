// Package apart decodes a photograph in a process of its own, so that whatever a
// stranger's bytes do to a decoder costs one order and not the night.
//
// Package photo refuses what a header gives away, and recovers from a decoder's
// panic. What is left cannot be caught inside a process: a decoder that loops,
// memory that runs out, a fault in the runtime itself. Those end the child, and the
// parent says so as it says that a file is damaged.
//
// # How
//
//	parent                                    child, the same program
//	opens the photograph  ────── fd 3 ──────> reads it
//	makes a file of memory ───── fd 4 ──────> sets its limits, decodes,
//	waits, with a clock                       writes planes and report
//	seals and maps the file <──── exit 0 ──── ends
//
// The child is /proc/self/exe, which is this very program even after the file has
// been replaced by a newer one (on macOS, its path), with an environment of its own; [Main], the
// first thing in main, is where it leaves the common road. It is given no path, only
// the two open files. Its limits are those of setrlimit, set by itself before it
// reads a byte: RLIMIT_DATA for memory, since a Go program reserves far more
// address space (RLIMIT_AS) than it uses, RLIMIT_FSIZE for what it hands over, no
// core. Where all the machine's memory runs out, it offers itself to be ended, which
// says nothing of its picture ([ErrKilled]). Time is
// measured by the parent, by the clock, so that a disk that has stopped answering
// counts too. It dies with its parent. It inherits no capability, and gives up what root
// would have had.
//
// The planes go over once: the child gives each part of its memory back as it
// is written, and the parent reads them where they lie. What it costs is the start of
// a process, some 10 MiB while it lives, and one copy of the planes: a tenth of
// the time that the decoding takes (BenchmarkOpen). What it gains, beside, is that a
// progressive JPEG's coefficients never come into the daemon's heap. Go's memory
// limit (GOMEMLIMIT) does not count the planes; a control group's does.
//
// # What was chosen against
//
// A limit on the whole daemon (a control group's) ends the daemon. A worker process for
// many pictures would save the start, 10 ms or so, and would let one picture's bytes
// meet the next one's. A rewrite of the decoders that counts its steps would have to
// be as right as the standard library's.
package apart
