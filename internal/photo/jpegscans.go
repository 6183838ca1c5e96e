package photo

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"

	"sizewright/internal/plural"
)

// A JPEG holds its picture in one or more scans. The decoder accepts whatever scans come
// before the end marker. It takes a missing table for zeros and ignores what it does not
// understand. A damaged file would print flat, green or shifted without a warning. So all
// scans are read first, down to their last code: what they send, with which tables, and
// whether their data have the right length. This also finds a missing end marker.

// jpegScans is what was read of a JPEG's scans so far.
type jpegScans struct {
	frame  *jpegFrame
	tables jpegTables
	sent   []sentComponent // one for each component of the frame
	coded  codedReader
	eobRun int   // blocks that the current scan still skips
	count  int   // scans
	all    int64 // bytes of the file
	left   int64 // bytes left over at the end of a scan or before a restart
	zeros  int64 // how many of those are zero
	beyond int64 // blocks that are lighter or darker than a picture can be
	stray  int64 // bytes between segments
	early  bool  // a scan of fine detail came before its coarse one
	blank  bool  // the header of a sequential scan does not say what it sends
}

// sentComponent is what was sent of one component so far.
type sentComponent struct {
	jpegComponent
	bits  [64]int8    // the lowest bit sent of each coefficient; 0 means all of it was sent
	quant *quantTable // the table at its first scan
	dc    int32       // of the last block

	across, down int      // blocks when it is alone in its scan
	stride       int      // blocks of a row when it is not
	filled       []uint64 // for each block, which coefficients are not zero; nil unless progressive
}

const unsent = 127

// mostBits is how many low bits of a coefficient may be missing. Encoders leave two for
// later passes; when more are missing, steps are visible. House judgement.
const mostBits = 2

// followScans reads the codes of a whole JPEG. It returns an error if part of the
// picture is missing or cannot be right.
func (f *jpegFrame) followScans(src *io.SectionReader, lim Limits) (*jpegScans, error) {
	s := &jpegScans{frame: f, all: src.Size()}
	if err := s.lay(); err != nil {
		return nil, err
	}
	for walk := walkJPEG(src, lim); ; {
		marker, payload, err := walk.next()
		switch {
		case err != nil:
			return nil, err
		case marker == markerEOI:
			s.stray = walk.passed
			return s, s.finish()
		case marker == markerSOS:
			err = s.scan(payload, walk.r, lim)
		default:
			err = s.tables.take(marker, payload)
		}
		if err != nil {
			return nil, err
		}
	}
}

// lay works out how many blocks each component has: T.81, A.1.1 and A.2.
func (s *jpegScans) lay() error {
	h, v := s.frame.maxFactors()
	for _, c := range s.frame.components {
		if c.h < 1 || c.h > 4 || c.v < 1 || c.v > 4 {
			return errors.New("its sampling factors are inconsistent")
		}
		mcusAcross, mcusDown := s.frame.mcus()
		sent := sentComponent{jpegComponent: c,
			across: ceilDiv(ceilDiv(s.frame.width*c.h, h), 8), down: ceilDiv(ceilDiv(s.frame.height*c.v, v), 8),
			stride: mcusAcross * c.h}
		for k := range sent.bits {
			sent.bits[k] = unsent
		}
		if s.frame.progressive() {
			sent.filled = make([]uint64, sent.stride*mcusDown*c.v)
		}
		s.sent = append(s.sent, sent)
	}
	return nil
}

func ceilDiv(a, b int) int { return (a + b - 1) / b }

// jpegScan is a scan header: T.81, B.2.3.
type jpegScan struct {
	parts       []scanPart
	first, last int // coefficients, in zigzag order
	high, low   int // the lowest bit sent before (0 for none) and the lowest bit of this scan
}

type scanPart struct {
	*sentComponent
	dcTable, acTable *huffmanTable // nil where the scan needs none
}

// scan reads one scan to its end.
func (s *jpegScans) scan(header []byte, r *bufio.Reader, lim Limits) error {
	if s.count++; s.count > lim.MaxScans {
		return wrong(TooLarge.With("open it in an editor and export it again"), nil,
			"is a JPEG of more than %s, which no camera makes", plural.Count(lim.MaxScans, "pass", "passes"))
	}
	scan, err := s.parseScan(header)
	if err != nil {
		return err
	}
	for _, part := range scan.parts {
		if err := s.send(part.sentComponent, &scan); err != nil {
			return err
		}
	}
	s.coded = codedReader{r: r}
	err = s.follow(&scan)
	return cmp.Or(s.coded.err, err)
}

func (s *jpegScans) parseScan(header []byte) (scan jpegScan, err error) {
	if len(header) < 1 || len(header) != 4+2*int(header[0]) || header[0] == 0 {
		return scan, errors.New("a scan header is inconsistent")
	}
	n := int(header[0])
	scan.last = 63
	if tail := header[1+2*n:]; s.frame.progressive() {
		scan.first, scan.last, scan.high, scan.low = int(tail[0]), int(tail[1]), int(tail[2]>>4), int(tail[2]&15)
	} else if string(tail) == "\x00\x00\x00" {
		s.blank = true // some encoders do so
	} else if string(tail) != "\x00\x3f\x00" {
		return scan, errors.New("a scan is of a progressive JPEG and the frame is not")
	}
	const most = 13 // T.81, table B.3
	if scan.first > scan.last || scan.last > 63 || scan.first == 0 && scan.last != 0 && s.frame.progressive() ||
		scan.first > 0 && n > 1 || scan.low > most || scan.high != 0 && scan.high != scan.low+1 {
		return scan, errors.New("a scan header is inconsistent")
	}
	for b := range slices.Chunk(header[1:1+2*n], 2) {
		part := scanPart{sentComponent: s.component(b[0])}
		if part.sentComponent == nil || slices.ContainsFunc(scan.parts, func(p scanPart) bool { return p.sentComponent == part.sentComponent }) {
			return scan, errors.New("a scan belongs to no component")
		}
		if scan.first == 0 && scan.high == 0 {
			if part.dcTable, err = s.tables.huffmanFor(0, b[1]>>4); err != nil {
				return scan, err
			}
		}
		if scan.last > 0 {
			if part.acTable, err = s.tables.huffmanFor(1, b[1]&15); err != nil {
				return scan, err
			}
		}
		scan.parts = append(scan.parts, part)
	}
	return scan, nil
}

func (s *jpegScans) component(id byte) *sentComponent {
	for i := range s.sent {
		if s.sent[i].id == id {
			return &s.sent[i]
		}
	}
	return nil
}

// send records what a scan sends of a component. A coefficient is sent from its highest
// bit down, and each scan continues where the last one ended: T.81, G.1.1.1.
func (s *jpegScans) send(c *sentComponent, scan *jpegScan) error {
	quant, err := s.tables.quantFor(c.jpegComponent.quant)
	if err != nil {
		return err
	}
	switch {
	case c.quant == nil:
		c.quant = quant
	case *c.quant != *quant:
		return unsupported("is a JPEG that changes a quantization table between the passes of one component, which is not read here",
			"open it in an editor and export it again")
	}
	s.early = s.early || scan.first > 0 && c.bits[0] == unsent
	for k := scan.first; k <= scan.last; k++ {
		was := int(c.bits[k])
		if was == unsent && scan.high != 0 || was != unsent && (was != scan.high || was == 0) {
			return damaged("is damaged: its passes do not follow one another, so one of them is missing or came twice", nil)
		}
		c.bits[k] = int8(scan.low)
	}
	return nil
}

// finish checks that enough of each component was sent, once the end marker is read.
func (s *jpegScans) finish() error {
	fine, coarse := false, false // what of the detail is missing
	for _, c := range s.sent {
		if c.bits[0] == unsent {
			return damaged("is damaged: one of the JPEG's colour components is missing", nil)
		}
		fine = fine || slices.Contains(c.bits[1:], unsent)
		coarse = coarse || slices.ContainsFunc(c.bits[:], func(bits int8) bool { return bits > mostBits && bits != unsent })
	}
	switch {
	case fine:
		return damaged("lacks its last passes: not all of its detail was ever sent", nil)
	case coarse:
		return damaged(fmt.Sprintf("lacks its last passes: more than %s of its detail were never sent", plural.Count(mostBits, "bit", "bits")), nil)
	case s.left-s.zeros > s.mostLeft():
		return damaged(fmt.Sprintf("is damaged: %s of its coded data %s to no pixel", plural.Count(s.left, "byte", "bytes"), plural.Noun(s.left, "belongs", "belong")), nil)
	}
	return nil
}

// mostLeft is how many bytes may be left over before the picture must be wrong. One
// changed code moves the end by a few blocks. House judgement.
func (s *jpegScans) mostLeft() int64 { return max(64, s.all/256) }

// unfinished reports whether low bits were never sent.
func (s *jpegScans) unfinished() bool {
	return slices.ContainsFunc(s.sent, func(c sentComponent) bool {
		return slices.ContainsFunc(c.bits[:], func(bits int8) bool { return bits > 0 })
	})
}

// changed reports whether the coded data do not fit the picture, as after a changed bit:
// they end too early or too late, or give blocks that no picture has.
func (s *jpegScans) changed() bool { return s.left > s.zeros || s.beyond > 0 }

// irregular lists the broken rules that do no visible harm.
func (s *jpegScans) irregular() (odd []string) {
	if s.stray > 0 {
		odd = append(odd, fmt.Sprintf("%s between its segments %s part of none", plural.Count(s.stray, "byte", "bytes"), plural.Noun(s.stray, "is", "are")))
	}
	if s.left == s.zeros && s.zeros > 0 {
		odd = append(odd, fmt.Sprintf("%s its coded data", plural.Count(s.zeros, "zero follows", "zeros follow")))
	}
	if s.blank {
		odd = append(odd, "a scan does not say what it sends")
	}
	if s.early {
		odd = append(odd, "fine detail is sent before coarse")
	}
	if s.frame.oddTransform() {
		odd = append(odd, fmt.Sprintf("it names colour transform %d, which is not defined", s.frame.transform))
	}
	return odd
}
