package photo

import (
	"os"
	"runtime"
	"sync"

	"golang.org/x/sys/unix"

	"sizewright/internal/system"
)

// mapped is memory that another process filled, read-only here. The collector
// neither counts it nor sees what points into it: it is given back by Close, or
// when nobody holds the mapped any more. So whoever reads it keeps its Photo
// alive meanwhile (runtime.KeepAlive), or it could go from under the reader.
type mapped struct {
	bytes   []byte
	once    sync.Once
	cleanup runtime.Cleanup
}

// mapFile maps the whole of an open file, every page of it at once, since
// every page will be read.
func mapFile(f *os.File) (*mapped, error) {
	st, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if st.Size() == 0 {
		return nil, errShared
	}
	b, err := system.MapWhole(f, int(st.Size()))
	if err != nil {
		return nil, err
	}
	m := &mapped{bytes: b}
	m.cleanup = runtime.AddCleanup(m, unmap, b)
	return m, nil
}

func unmap(b []byte) { _ = unix.Munmap(b) }

func (m *mapped) release() {
	m.once.Do(func() {
		m.cleanup.Stop()
		unmap(m.bytes)
	})
}
