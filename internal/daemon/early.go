package daemon

import (
	"os"

	"sizewright/internal/system"
)

// early is a file whose pages are sent to the disk as they come, so that the
// fsync at the end finds little left to do. It promises nothing that fsync does
// not: a failure here is left for fsync to find.
type early struct {
	*os.File
	written, sent int64
}

// earlyBytes is how much is gathered before it is sent.
const earlyBytes = 16 << 20

func (e *early) Write(p []byte) (int, error) {
	n, err := e.File.Write(p)
	e.written += int64(n)
	if e.written-e.sent >= earlyBytes {
		system.StartWriteback(e.File)
		e.sent = e.written
	}
	return n, err
}
