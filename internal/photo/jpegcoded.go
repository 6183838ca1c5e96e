package photo

import (
	"bufio"
	"io"
)

// codedReader reads the bits of a scan: T.81, F.2.2.5. At a marker the bits end. It
// then supplies zeros, and short reports that they were read.
type codedReader struct {
	r      *bufio.Reader
	bits   uint64 // the last n of them are unread
	n      uint
	zeros  uint  // how many of the unread bits are supplied, not from the file
	marker bool  // the next byte begins a marker
	err    error // of the file system
}

// fill makes at least 32 bits available.
func (c *codedReader) fill() {
	for c.n <= 56 {
		var b byte
		if !c.marker {
			b = c.next()
		}
		if c.marker {
			c.zeros += 8
		}
		c.bits, c.n = c.bits<<8|uint64(b), c.n+8
	}
}

// next returns the next byte, unstuffed. At a marker it reads nothing.
func (c *codedReader) next() byte {
	b, err := c.r.ReadByte()
	if b == 0xff && err == nil {
		return c.stuffed()
	}
	c.stop(err)
	return b
}

// stuffed tells whether the 0xFF just read is stuffed data or begins a marker.
func (c *codedReader) stuffed() byte {
	_ = c.r.UnreadByte() // it was just read
	two, err := c.r.Peek(2)
	if err != nil || two[1] != 0 {
		c.marker = true
		return 0
	}
	_, _ = c.r.Discard(2) // they are there
	return 0xff
}

// stop ends the bits where reading fails. The end of the file is no fault here.
func (c *codedReader) stop(err error) {
	if err == nil {
		return
	}
	c.marker = true
	if err != io.EOF {
		c.err = err
	}
}

// short reports whether more bits were read than the file has.
func (c *codedReader) short() bool { return c.n < c.zeros }

// receive reads up to 16 bits.
func (c *codedReader) receive(n uint) uint32 {
	if c.n < n {
		c.fill()
	}
	c.n -= n
	return uint32(c.bits>>c.n) & (1<<n - 1)
}

// signed reads a signed number of n bits: T.81, F.2.2.1, EXTEND.
func (c *codedReader) signed(n uint) int32 {
	v := int32(c.receive(n))
	if n > 0 && v < 1<<(n-1) {
		v += -1<<n + 1
	}
	return v
}

// decode reads a Huffman code. ok is false if the table has no such code.
func (c *codedReader) decode(h *huffmanTable) (value byte, ok bool) {
	if c.n < 16 {
		c.fill()
	}
	if e := h.short[c.bits>>(c.n-shortCode)&(1<<shortCode-1)]; e != 0 {
		c.n -= uint(e >> 8)
		return byte(e), true
	}
	code := int32(c.bits >> (c.n - 16) & 0xffff)
	for length := shortCode + 1; length <= 16; length++ {
		if v := code >> (16 - length); v <= h.most[length] {
			c.n -= uint(length)
			return h.values[v+h.first[length]], true
		}
	}
	return 0, false
}

// rest skips to the next marker. It returns how many whole bytes were left over, and
// how many of them are zero.
func (c *codedReader) rest() (left, zeros int64) {
	count := func(b byte) {
		left++
		if b == 0 {
			zeros++
		}
	}
	for c.n -= (c.n - min(c.n, c.zeros)) % 8; c.n > c.zeros; c.n -= 8 {
		count(byte(c.bits >> (c.n - 8)))
	}
	for !c.marker {
		if b := c.next(); !c.marker {
			count(b)
		}
	}
	c.bits, c.n, c.zeros = 0, 0, 0
	return left, zeros
}

// restart reads the restart marker that is due, with fill bytes before it. It reports
// false if another marker is next.
func (c *codedReader) restart(want byte) bool {
	for {
		b, err := c.r.Peek(2)
		if err != nil {
			c.stop(err)
			return false
		}
		switch b[1] {
		case want:
			_, _ = c.r.Discard(2) // they are there
			c.marker = false
			return true
		case 0xff:
			_, _ = c.r.Discard(1) // it is there
		default:
			return false
		}
	}
}
