package photo

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"sizewright/internal/hold"
)

// errShared means that the other process stopped early or is another program.
var errShared = errors.New("what came from the decoding process is no picture")

// Adopt returns the picture that [Share] wrote to mem. It is bit for bit the one that
// [Open] returns. It lies in mem until it is closed, so nothing may write to mem any more.
// room says that mem is the file of a [Room]. An [*Error] is the one that Open returns. Any other error is a fault of
// the system.
func Adopt(mem *os.File, room bool) (*Photo, error) {
	m, err := mapFile(mem, room)
	if err != nil {
		return nil, err
	}
	p, err := adoptShared(m)
	if err != nil {
		m.release()
		return nil, err
	}
	return p, nil
}

func adoptShared(m *mapped) (*Photo, error) {
	report, samples, err := readReport(m.bytes)
	if err != nil {
		return nil, err
	}
	if f := report.Fault; f != nil {
		e := &Error{Hold: hold.Hold{Code: f.Code, Text: string(f.Text), Remedy: f.Remedy}}
		if f.Err != "" {
			e.Err = errors.New(f.Err)
		}
		return nil, e
	}
	p := &Photo{Info: report.Info, ycc: report.YCC, video: report.Video, mapped: m}
	for _, s := range report.Planes {
		pl, err := s.plane(samples)
		if err != nil {
			return nil, err
		}
		p.planes = append(p.planes, pl)
	}
	if !p.fitsTogether() {
		return nil, fmt.Errorf("%w: its planes are not those of its %d x %d pixels of %s", errShared, p.Width, p.Height, p.Model)
	}
	return p, nil
}

// fitsTogether reports whether the planes have the size and number that the picture's
// header says. Those of every decoder here do.
func (p *Photo) fitsTogether() bool {
	if len(p.planes) != p.Channels() || p.ycc && p.Model != RGB {
		return false
	}
	for c := range p.planes {
		pl := &p.planes[c]
		coarse := p.ycc && c > 0
		switch {
		case pl.Width != ceilDiv(p.Width, pl.SubX) || pl.Height != ceilDiv(p.Height, pl.SubY),
			!coarse && (pl.SubX != 1 || pl.SubY != 1),
			p.ycc && (pl.wide || pl.step != 1):
			return false
		}
	}
	return true
}

// readReport splits the report from the samples before it.
func readReport(b []byte) (report shared, samples []byte, err error) {
	const tail = 8
	if len(b) < tail {
		return report, nil, errShared
	}
	body := b[:len(b)-tail]
	length := binary.BigEndian.Uint64(b[len(body):])
	if length > uint64(len(body)) {
		return report, nil, errShared
	}
	samples = body[:len(body)-int(length)]
	dec := json.NewDecoder(bytes.NewReader(body[len(samples):]))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&report); err != nil {
		return report, nil, fmt.Errorf("%w: %w", errShared, err)
	}
	return report, samples, nil
}

// plane is the plane over its memory, after a check that it lies within samples.
func (s sharedPlane) plane(samples []byte) (plane, error) {
	size := sampleBytes(s.Wide)
	fits := s.At >= 0 && s.Length >= 0 && s.At <= int64(len(samples))-s.Length &&
		s.Width > 0 && s.Height > 0 && s.Step >= size && s.Step <= 16 &&
		int64(s.Width) <= s.Length && int64(s.Height) <= s.Length && int64(s.Stride) <= s.Length && // so that products fit
		s.Stride >= (s.Width-1)*s.Step+size &&
		int64(s.Height-1)*int64(s.Stride)+int64(s.Width-1)*int64(s.Step)+int64(size) <= s.Length &&
		s.SubX >= 1 && s.SubX <= 4 && s.SubY >= 1 && s.SubY <= 4 && s.OffX > -s.SubX && s.OffX <= 0 && s.OffY > -s.SubY && s.OffY <= 0
	if !fits {
		return plane{}, fmt.Errorf("%w: a plane of %d x %d lies outside it", errShared, s.Width, s.Height)
	}
	return plane{s.Grid, samples[s.At:][:s.Length:s.Length], s.Stride, s.Step, s.Wide}, nil
}
