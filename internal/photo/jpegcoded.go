package photo

import (
	"bufio"
	"io"
)

// codedReader reads the bits of a scan: T.81, F.2.2.5. Where they end, at a marker,
// it goes on with zeros, and short tells of it.
type codedReader struct {
	r      *bufio.Reader
	bits   uint64 // the last n of them are unread
	n      uint
	zeros  uint // of these, how many are no bits of the file
	marker bool // the next byte begins a marker
	err    error
}

// fill brings at least 32 bits.
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

// next is the next byte with its stuffing undone; at a marker it reads none.
func (c *codedReader) next() byte {
	b, err := c.r.ReadByte()
	if b == 0xff && err == nil {
		return c.stuffed()
	}
	c.stop(err)
	return b
}

// stuffed tells a stuffed 0xFF, just read, from a marker.
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

func (c *codedReader) stop(err error) {
	if err != nil {
		c.marker = true
		if c.err == nil {
			c.err = noEOF(err)
		}
	}
}

// short reports whether more was read than there is.
func (c *codedReader) short() bool { return c.n < c.zeros }

// receive reads up to 16 bits.
func (c *codedReader) receive(n uint) uint32 {
	if c.n < n {
		c.fill()
	}
	c.n -= n
	return uint32(c.bits>>c.n) & (1<<n - 1)
}

// signed reads a number of so many bits: T.81, F.2.2.1, EXTEND.
func (c *codedReader) signed(n uint) int32 {
	v := int32(c.receive(n))
	if n > 0 && v < 1<<(n-1) {
		v += -1<<n + 1
	}
	return v
}

// decode reads a Huffman code; ok is false if there is none such.
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

// rest leaves the bits and goes on to the next marker. It returns how many whole
// bytes were left over, and how many of them are zero.
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

// restart reads the restart marker that is due; it reports false if another
// marker is next.
func (c *codedReader) restart(want byte) bool {
	b, ok := c.peekMarker()
	if !ok || b != want {
		return false
	}
	c.readMarker()
	return true
}

// peekMarker is the marker that is next, its fill bytes passed over.
func (c *codedReader) peekMarker() (byte, bool) {
	for {
		b, err := c.r.Peek(2)
		if err != nil {
			c.stop(err)
			return 0, false
		}
		if b[1] != 0xff {
			return b[1], true
		}
		_, _ = c.r.Discard(1) // it is there
	}
}

func (c *codedReader) readMarker() {
	_, _ = c.r.Discard(2) // it is there
	c.marker = false
}

// fault is what reading came to.
func (c *codedReader) fault() error {
	if c.err != nil && c.err != io.ErrUnexpectedEOF {
		return c.err
	}
	return nil
}
