package tiff

const (
	lzwClear     = 256
	lzwEnd       = 257
	lzwFirst     = 258  // first code of the table
	lzwLast      = 4094 // last entry added before the table is cleared
	lzwMinWidth  = 9
	lzwSlotBits  = 14 // four times the 3837 entries: short probes, and only 64 KiB to clear
	lzwSlots     = 1 << lzwSlotBits
	lzwCodeBits  = 12
	lzwCodeMask  = 1<<lzwCodeBits - 1
	lzwNoPrefix  = ^uint32(0)
	lzwHashPrime = 2654435761 // nearest prime to 2^32 over the golden ratio (Knuth, TAOCP 3, 6.4)
)

// lzwEncoder is the codec of LZW: TIFF 6.0 section 13. Codes are packed from the most
// significant bit. They widen from 9 to 10, 11 and 12 bits as soon as entry 511, 1023
// or 2047 is added, one code earlier than needed ("early change"), and the table is
// cleared once entry 4094 is added. Go's compress/lzw widens late, as GIF does, and so
// cannot be used.
type lzwEncoder struct {
	// table is an open-addressed hash table of the known strings: each slot holds the
	// prefix code (12 bits), the next byte (8) and the code of the two (12). 0 is free,
	// since no entry has a code below 258.
	table  [lzwSlots]uint32
	next   uint32 // code of the next entry
	width  uint   // bits of the next code
	prefix uint32 // code of the string matched so far, not yet written

	out   []byte
	bits  uint64 // bits not yet in out, the oldest highest
	nbits uint   // how many, below 32 between codes
}

func (e *lzwEncoder) begin(dst []byte, _ bool) {
	e.out, e.bits, e.nbits = dst, 0, 0
	e.prefix = lzwNoPrefix
	e.width = lzwMinWidth
	e.clear()
}

func (e *lzwEncoder) write(row []byte) {
	if e.prefix == lzwNoPrefix && len(row) > 0 {
		e.prefix, row = uint32(row[0]), row[1:]
	}
	prefix := e.prefix
	for _, b := range row {
		key := prefix<<8 | uint32(b)
		code, slot := e.find(key)
		if code != 0 {
			prefix = code
			continue
		}
		e.put(prefix)
		e.table[slot] = key<<lzwCodeBits | e.next
		e.grow()
		prefix = uint32(b)
	}
	e.prefix = prefix
}

// find returns the code of key, or 0 and the slot where key belongs.
func (e *lzwEncoder) find(key uint32) (code, slot uint32) {
	slot = key * lzwHashPrime >> (32 - lzwSlotBits)
	for {
		entry := e.table[slot%lzwSlots]
		if entry == 0 {
			return 0, slot % lzwSlots
		}
		if entry>>lzwCodeBits == key {
			return entry & lzwCodeMask, slot
		}
		slot++
	}
}

// grow counts the entry just added: it widens the codes or clears the table.
func (e *lzwEncoder) grow() {
	switch made := e.next; {
	case made == lzwLast:
		e.clear()
		return
	case made == 1<<e.width-1:
		e.width++
	}
	e.next++
}

// clear writes a clear code in the current width, and empties the table.
func (e *lzwEncoder) clear() {
	e.put(lzwClear)
	clear(e.table[:])
	e.next, e.width = lzwFirst, lzwMinWidth
}

func (e *lzwEncoder) put(code uint32) {
	e.bits = e.bits<<e.width | uint64(code)
	e.nbits += e.width
	if e.nbits >= 32 {
		e.nbits -= 32
		v := uint32(e.bits >> e.nbits)
		e.out = append(e.out, byte(v>>24), byte(v>>16), byte(v>>8), byte(v))
	}
}

func (e *lzwEncoder) end() ([]byte, error) {
	if e.prefix != lzwNoPrefix {
		e.put(e.prefix)
		e.grow() // a decoder counts an entry for the last code too
	}
	e.put(lzwEnd)
	for e.nbits > 0 {
		left := min(e.nbits, 8)
		e.nbits -= left
		e.out = append(e.out, byte(e.bits>>e.nbits<<(8-left)))
	}
	out := e.out
	e.out = nil
	return out, nil
}

// lzwBound returns an upper bound for n encoded bytes. No code is wider than 12 bits,
// and every code stands for at least a byte, except the end code and the clear codes
// (the first, and one per 3837 entries).
func lzwBound(n int64) int64 {
	const entries = lzwLast - lzwFirst + 1
	codes := n + n/entries + 3
	return codes*3/2 + 1
}
