package photo

import (
	"os"
	"unsafe"

	"golang.org/x/sys/unix"

	"sizewright/internal/system"
)

// Room is a file on the disk, mapped into memory, in which the planes of a picture that is
// too large for memory are decoded, and from which they are read. The system keeps as much
// of it in memory as it has to spare. The zero of all its methods, nil, is Go's memory.
type Room struct {
	file  *os.File
	bytes []byte // all of the file
	used  int    // of bytes
	dirty int    // bytes written since they were last sent to the disk
}

// pageBytes is a multiple of the size of a page of memory, 4 to 64 KiB.
const pageBytes = 64 << 10

// setRoom says how large the file is that the planes of a picture are decoded to, if they
// are too much for memory: each begins with a page, and there is a further one for turning
// them. Call it after setSize.
func (in *Info) setRoom(lim Limits, d demand, planes int) {
	if !lim.needsRoom(d) {
		return
	}
	if in.turned() {
		planes++
	}
	plane := int64(d.width) * int64(d.height) * int64(in.Bits/8)
	in.Room = int64(planes) * (plane/pageBytes + 1) * pageBytes
}

// RoomFor returns the bytes of [Info.Room] of an open file: 0 of one that is decoded in
// memory, or not at all.
func RoomFor(f *os.File, name string, lim Limits) int64 {
	in, err := identifyFile(f, name, lim)
	if err != nil {
		return 0 // decoding says so
	}
	return in.Room
}

// OpenRoom maps a file that nobody else has open. It is nil for an empty file.
func OpenRoom(f *os.File) (*Room, error) {
	st, err := f.Stat()
	if err != nil || st.Size() == 0 {
		return nil, err
	}
	b, err := unix.Mmap(int(f.Fd()), 0, int(st.Size()), unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	if err != nil {
		return nil, os.NewSyscallError("mmap", err)
	}
	return &Room{file: f, bytes: b}, nil
}

// take returns n bytes that are zero, of the room if it has as many left.
func (r *Room) take(n int) []byte {
	if r == nil || n > len(r.bytes)-r.used {
		return make([]byte, n)
	}
	b := r.bytes[r.used:][:n:n]
	r.used = min(len(r.bytes), (r.used+n+pageBytes-1)/pageBytes*pageBytes)
	return b
}

// newPlane is the function newPlane, in the room.
func (r *Room) newPlane(w, h int, wide bool) plane {
	size := sampleBytes(wide)
	return plane{fine(w, h), r.take(w * h * size), w * size, size, wide}
}

// wrote has what is written sent to the disk from time to time, so that memory is never
// full of pages that have yet to go there.
func (r *Room) wrote(n int) {
	const enough = 16 << 20
	if r == nil {
		return
	}
	if r.dirty += n; r.dirty >= enough {
		system.StartWriteback(r.file)
		r.dirty = 0
	}
}

// place is where b lies in the room, if it does.
func (r *Room) place(b []byte) (at int64, is bool) {
	if r == nil {
		return 0, false
	}
	at = int64(uintptr(unsafe.Pointer(unsafe.SliceData(b))) - uintptr(unsafe.Pointer(unsafe.SliceData(r.bytes))))
	return at, at >= 0 && at < int64(len(r.bytes))
}

// ahead is how many bytes of a plane in a file are read before they are asked for.
const ahead = 4 << 20

// turnPage is called before a row of a plane is read. At the first row of every so many
// it has the system read the next ones, and lets go of those two before: pictures are
// mostly read from the top to the bottom. It changes nothing but the time.
func (p *Photo) turnPage(pl *plane, y int) {
	if p.mapped == nil || !p.mapped.file {
		return
	}
	rows := max(1, ahead/max(1, pl.stride))
	if y%rows != 0 {
		return
	}
	advise(pl.rows(y, y+2*rows), unix.MADV_WILLNEED)
	advise(pl.rows(y-2*rows, y-rows), unix.MADV_DONTNEED)
}

// rows is the memory of rows [top, bottom), of those that there are.
func (pl *plane) rows(top, bottom int) []byte {
	top, bottom = max(0, top), min(bottom, pl.Height)
	if top >= bottom {
		return nil
	}
	return pl.pix[top*pl.stride : min(bottom*pl.stride, len(pl.pix))]
}

// advise tells the system what is to become of the whole pages of b. It may refuse.
func advise(b []byte, advice int) {
	page := uintptr(os.Getpagesize())
	start := uintptr(unsafe.Pointer(unsafe.SliceData(b)))
	from := (page - start%page) % page
	to := uintptr(len(b)) - (start+uintptr(len(b)))%page
	if from < to && to <= uintptr(len(b)) {
		_ = unix.Madvise(b[from:to], advice)
	}
}
