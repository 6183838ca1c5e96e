package photo

import "errors"

var (
	errCodedShort = errors.New("its coded data end before its last pixel")
	errCodedWrong = errors.New("its coded data make no sense")
)

// follow reads the codes of a scan without making pixels of them.
func (s *jpegScans) follow(scan *jpegScan) error {
	alone := len(scan.parts) == 1
	across, down := s.frame.mcus()
	if alone {
		across, down = scan.parts[0].across, scan.parts[0].down
	}
	s.begin(scan)
	due, marker := s.tables.restart, byte(markerRST0)
	for y := range down {
		for x := range across {
			if s.tables.restart > 0 && due == 0 {
				if err := s.restart(scan, marker); err != nil {
					return err
				}
				due, marker = s.tables.restart, markerRST0+(marker+1)&7
			}
			due--
			for i := range scan.parts {
				if err := s.unit(scan, &scan.parts[i], x, y, alone); err != nil {
					return err
				}
			}
			if s.coded.short() {
				return errCodedShort
			}
		}
	}
	return s.end()
}

// unit reads the blocks of one component in one MCU.
func (s *jpegScans) unit(scan *jpegScan, p *scanPart, x, y int, alone bool) error {
	if alone {
		return s.block(scan, p, y*p.stride+x)
	}
	for v := range p.v {
		for h := range p.h {
			if err := s.block(scan, p, (y*p.v+v)*p.stride+x*p.h+h); err != nil {
				return err
			}
		}
	}
	return nil
}

// begin resets what each scan and each restart begin with.
func (s *jpegScans) begin(scan *jpegScan) {
	s.eobRun = 0
	for _, p := range scan.parts {
		p.dc = 0
	}
}

func (s *jpegScans) restart(scan *jpegScan, marker byte) error {
	if err := s.end(); err != nil {
		return err
	}
	if !s.coded.restart(marker) {
		return errors.New("a restart marker is missing or out of order")
	}
	s.begin(scan)
	return nil
}

// end counts the bytes that are left over.
func (s *jpegScans) end() error {
	if s.eobRun != 0 {
		return errCodedWrong
	}
	left, zeros := s.coded.rest()
	s.left, s.zeros = s.left+left, s.zeros+zeros
	return nil
}

// block reads the codes of one block.
func (s *jpegScans) block(scan *jpegScan, p *scanPart, at int) error {
	switch {
	case !s.frame.progressive():
		if err := s.dc(p, 0); err != nil {
			return err
		}
		return s.sequential(p)
	case scan.first == 0 && scan.high == 0:
		return s.dc(p, scan.low)
	case scan.first == 0:
		s.coded.receive(1)
		return nil
	case scan.high == 0:
		return s.first(scan, p, &p.filled[at])
	}
	return s.refine(scan, p, &p.filled[at])
}

// Codes of 8-bit pictures have no more bits than these: T.81, tables F.1 and F.2.
const (
	mostDC = 11
	mostAC = 10
)

// dc reads the first coefficient, without its low bits. It is eight times the block's
// mean less 128, so in a picture it is within 1024 of zero.
func (s *jpegScans) dc(p *scanPart, low int) error {
	size, ok := s.coded.decode(p.dcTable)
	if !ok || size > mostDC {
		return errCodedWrong
	}
	p.dc += s.coded.signed(uint(size))
	step := int64(p.quant[0]) << low
	if v := int64(p.dc) * step; v > 1024+step || v < -1024-step {
		s.beyond++
	}
	return nil
}

// sequential reads the 63 coefficients after the first: T.81, F.2.2.2.
func (s *jpegScans) sequential(p *scanPart) error {
	for k := 1; k < 64; k++ {
		code, ok := s.coded.decode(p.acTable)
		run, size := int(code>>4), uint(code&15)
		switch {
		case !ok, size > mostAC, size == 0 && run != 0 && run != 15:
			return errCodedWrong
		case code == 0:
			return nil
		}
		if k += run; k > 63 {
			return errCodedWrong
		}
		s.coded.receive(size)
	}
	return nil
}

// first reads the first scan of some coefficients: T.81, G.1.2.2.
func (s *jpegScans) first(scan *jpegScan, p *scanPart, filled *uint64) error {
	if s.eobRun > 0 {
		s.eobRun--
		return nil
	}
	for k := scan.first; k <= scan.last; k++ {
		code, ok := s.coded.decode(p.acTable)
		run, size := int(code>>4), uint(code&15)
		switch {
		case !ok, size > mostAC:
			return errCodedWrong
		case size == 0 && run < 15:
			s.eobRun = 1<<run + int(s.coded.receive(uint(run))) - 1
			return nil
		}
		if k += run; k > scan.last {
			return errCodedWrong
		}
		if size > 0 {
			s.coded.receive(size)
			*filled |= 1 << k
		}
	}
	return nil
}

// refine reads a scan of one more bit: T.81, G.1.2.3.
func (s *jpegScans) refine(scan *jpegScan, p *scanPart, filled *uint64) error {
	k := scan.first
	for ; s.eobRun == 0 && k <= scan.last; k++ {
		code, ok := s.coded.decode(p.acTable)
		run, size := int(code>>4), uint(code&15)
		switch {
		case !ok, size > 1:
			return errCodedWrong
		case size == 0 && run < 15:
			s.eobRun = 1<<run + int(s.coded.receive(uint(run)))
		}
		if s.eobRun > 0 {
			break
		}
		s.coded.receive(size)
		if k = s.pass(k, scan.last, run, *filled); k > scan.last {
			return errCodedWrong
		}
		if size > 0 {
			*filled |= 1 << k
		}
	}
	if s.eobRun > 0 {
		s.eobRun--
		s.pass(k, scan.last, 64, *filled)
	}
	return nil
}

// pass reads the bits of the coefficients that are not zero. It stops at the zero
// coefficient that follows the given number of other zero ones.
func (s *jpegScans) pass(k, last, zeros int, filled uint64) int {
	for ; k <= last; k++ {
		switch {
		case filled&(1<<k) != 0:
			s.coded.receive(1)
		case zeros == 0:
			return k
		default:
			zeros--
		}
	}
	return k
}
