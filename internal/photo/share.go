package photo

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"golang.org/x/sys/unix"

	"sizewright/internal/hold"
)

// A picture that was decoded in another process comes through a file in memory
// (memfd_create), or through its [Room], that both processes have open. It holds
//
//	planes   each run of samples as the decoder left it, one after another
//	report   a JSON object, shared, that says what the planes are
//	length   of the report, 8 bytes, big-endian
//
// [Share] writes it in the process that decodes. [Adopt] reads it in the process that
// prints. The report comes last, so a file without one means that the decoding process
// failed.

// shared is the report: a picture, or why there is none.
type shared struct {
	Fault  *sharedFault `json:",omitempty"`
	Info   Info
	YCC    bool
	Video  bool `json:",omitempty"`
	Planes []sharedPlane
}

// sharedFault is an [Error].
type sharedFault struct {
	Code, Remedy string
	Text         []byte // with the file's name, which need not be UTF-8
	Err          string // "" for none
}

// sharedPlane is a plane whose first sample lies at byte At of the file.
type sharedPlane struct {
	Grid
	At, Length   int64
	Stride, Step int
	Wide         bool
}

// Share writes the result of decoding to mem, an empty file in memory, or the file of p's
// room: p, or err if that is not nil. p cannot be used afterwards. Each part of its memory goes back to the
// system as soon as it is written, so that the picture is never in memory twice. The
// error is a fault of the system, not of the picture.
func Share(mem *os.File, p *Photo, err error) error {
	var report shared
	length, seekErr := mem.Seek(0, io.SeekEnd) // behind the room
	if seekErr != nil {
		return seekErr
	}
	if err != nil {
		report.Fault = faultOf(err)
	} else if report, err = sharePlanes(mem, p, length); err != nil {
		return err
	}
	text, err := json.Marshal(report)
	if err != nil {
		return err
	}
	_, err = mem.Write(binary.BigEndian.AppendUint64(text, uint64(len(text))))
	return err
}

func faultOf(err error) *sharedFault {
	var no *hold.Hold
	if !errors.As(err, &no) {
		no = Unreadable.With("drop it again").Say("it cannot be read")
	}
	f := &sharedFault{Code: no.Code, Text: []byte(no.Text), Remedy: no.Remedy}
	if e := (*Error)(nil); errors.As(err, &e) && e.Err != nil {
		f.Err = e.Err.Error()
	}
	return f
}

// sharePlanes writes the memory of the planes, unless it is in the room, to a file that has
// so many bytes already. Memory that several share is written once.
func sharePlanes(mem *os.File, p *Photo, written int64) (shared, error) {
	s := shared{Info: p.Info, YCC: p.ycc, Video: p.video}
	ends := map[*byte]int64{} // of memory that is written, by its last byte
	for _, pl := range p.planes {
		last := &pl.pix[len(pl.pix)-1]
		length := int64(len(pl.pix))
		if at, is := p.room.place(pl.pix); is {
			ends[last] = at + length
		}
		if _, seen := ends[last]; !seen {
			// Of planes that share memory the first begins before the others.
			if err := writeAway(mem, pl.pix); err != nil {
				return s, fmt.Errorf("handing the picture over: %w", err)
			}
			written += int64(len(pl.pix))
			ends[last] = written
		}
		s.Planes = append(s.Planes, sharedPlane{pl.Grid, ends[last] - length, length, pl.stride, pl.step, pl.wide})
	}
	return s, nil
}

// writeAway writes b and gives its memory back as it goes.
func writeAway(mem *os.File, b []byte) error {
	const part = 4 << 20
	for len(b) > 0 {
		n := min(part, len(b))
		if _, err := mem.Write(b[:n]); err != nil {
			return err
		}
		advise(b[:n], unix.MADV_DONTNEED) // they then read as zero
		b = b[n:]
	}
	return nil
}
