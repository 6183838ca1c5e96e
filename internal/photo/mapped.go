package photo

import (
	"os"
	"runtime"
	"sync"

	"golang.org/x/sys/unix"

	"sizewright/internal/system"
)

// mapped is memory that another process filled. It is read-only here. The garbage
// collector does not count it and does not see pointers into it. Close unmaps it, or the
// collector does once nothing refers to the mapped any more. So a reader must keep its
// Photo alive while it reads (runtime.KeepAlive).
type mapped struct {
	bytes   []byte
	file    bool // it is a [Room], larger than memory perhaps
	once    sync.Once
	cleanup runtime.Cleanup
}

// mapFile maps a whole open file. Of one in memory it loads every page at once, because
// every page will be read.
func mapFile(f *os.File, room bool) (*mapped, error) {
	st, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if st.Size() == 0 {
		return nil, errShared
	}
	b, err := system.MapWhole(f, int(st.Size()), !room)
	if err != nil {
		return nil, err
	}
	m := &mapped{bytes: b, file: room}
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
