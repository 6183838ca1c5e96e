// Package isolate decodes each photograph in a process of its own, so that a decoder that
// fails on bad input costs one order and not the night.
//
// Package photo rejects what the header shows to be wrong, and recovers from a
// decoder's panic. Other failures cannot be caught inside a process: an endless loop,
// memory that runs out, a crash of the Go runtime. They end the child, and the parent
// reports them like any other damage to the file.
//
// # How
//
//	parent                                    child, the same program
//	opens the photograph  ────── fd 3 ──────> reads it
//	makes a memory file   ────── fd 4 ──────> sets its limits, decodes,
//	waits, with a timeout                     writes planes and report
//	seals and maps the file <──── exit 0 ──── ends
//
// The child runs /proc/self/exe, which is this program even after its file has been
// replaced (on macOS, the program's path). Its environment holds only what the parent
// sets. [Main], which must come first in main, recognises it. It gets no path, only the
// two open files.
//
// Before it reads a byte, the child limits itself with setrlimit: RLIMIT_DATA for
// memory, since a Go program reserves far more address space (RLIMIT_AS) than it uses;
// RLIMIT_FSIZE for its result, which is not bound by memory where it is on the disk; and no core file. If the machine's memory runs out, the
// kernel ends the child first; that says nothing about its picture ([ErrKilled]). The
// parent measures elapsed time, so that a disk that no longer answers counts too. The
// child is killed when the parent ends. It inherits no capability, and drops those that
// root would have.
//
// The planes are copied once: the child frees each part of its memory as it writes it,
// and the parent maps the file and reads the planes in place. The costs are the start
// of a process, about 10 MiB while it lives, and one copy of the planes: a tenth of the
// decoding time (BenchmarkOpen). The planes of a picture too large for memory (photo.Room)
// are not copied: fd 4 is then a file on the disk, of its full length from the start and
// without a name, so that nothing is left of it whoever is killed. The child maps it and
// decodes into it. A progressive JPEG's coefficients never enter the
// daemon's heap. Go's memory limit (GOMEMLIMIT) does not count the planes; a control
// group's limit does.
//
// # Alternatives
//
// A limit on the whole daemon (by a control group) would end the daemon. One worker
// process for many pictures would save the start, about 10 ms, but one picture could
// corrupt the next. Decoders that count their own steps would have to be as correct as
// the standard library's.
package isolate
