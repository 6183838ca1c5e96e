package photo

import (
	"encoding/binary"
	"fmt"
)

// jpegTables holds the tables that a JPEG defines for its scans: ITU-T T.81, B.2.4. The
// decoder takes a missing quantization table for zeros and paints grey, so the tables
// that each scan names are checked here.
type jpegTables struct {
	quant   [4]*quantTable
	huffman [2][4]*huffmanTable // by class, 0 DC and 1 AC
	restart int                 // MCUs between restart markers, 0 for none
}

// quantTable holds the steps of the 64 coefficients, in zigzag order.
type quantTable [64]uint16

// take reads what a segment defines, if anything.
func (t *jpegTables) take(marker byte, payload []byte) error {
	switch marker {
	case markerDQT:
		return t.takeQuant(payload)
	case markerDHT:
		return t.takeHuffman(payload)
	case markerDRI:
		if len(payload) != 2 {
			return damaged("is damaged: the length of its restart interval is wrong", nil)
		}
		t.restart = int(binary.BigEndian.Uint16(payload))
	}
	return nil
}

func (t *jpegTables) takeQuant(b []byte) error {
	for len(b) > 0 {
		wide, id := int(b[0]>>4), b[0]&15
		size := 64 * (1 + wide)
		if wide > 1 || id > 3 || len(b) < 1+size {
			return damaged("is damaged: one of its quantization tables is inconsistent", nil)
		}
		q := &quantTable{}
		for i := range q {
			if wide == 1 {
				q[i] = binary.BigEndian.Uint16(b[1+2*i:])
			} else {
				q[i] = uint16(b[1+i])
			}
		}
		t.quant[id] = q
		b = b[1+size:]
	}
	return nil
}

// quantFor is the table of a component. The error is worded as libjpeg's.
func (t *jpegTables) quantFor(id byte) (*quantTable, error) {
	if id > 3 || t.quant[id] == nil {
		return nil, damaged(fmt.Sprintf("is damaged: quantization table 0x%02x was not defined, so its pixels cannot be known", id), nil)
	}
	for _, step := range t.quant[id] {
		if step == 0 {
			return nil, damaged(fmt.Sprintf("is damaged: quantization table 0x%02x has a step of zero, so its pixels cannot be known", id), nil)
		}
	}
	return t.quant[id], nil
}

func (t *jpegTables) takeHuffman(b []byte) error {
	const head = 17
	for len(b) > 0 {
		if len(b) < head {
			return damaged("is damaged: one of its Huffman tables is inconsistent", nil)
		}
		class, id, values := b[0]>>4, b[0]&15, 0
		for _, n := range b[1:head] {
			values += int(n)
		}
		if class > 1 || id > 3 || values > 256 || len(b) < head+values {
			return damaged("is damaged: one of its Huffman tables is inconsistent", nil)
		}
		t.huffman[class][id] = newHuffmanTable([16]byte(b[1:head]), b[head:][:values])
		b = b[head+values:]
	}
	return nil
}

// huffmanFor is a table that a scan names. The error is worded as libjpeg's.
func (t *jpegTables) huffmanFor(class, id byte) (*huffmanTable, error) {
	switch h := t.huffman[class][id&3]; {
	case id > 3 || h == nil:
		const remedy = "copy it again; if it is a single picture of a film (Motion JPEG), which leaves its tables out, export it as a JPEG or TIFF"
		return nil, wrong(Damaged.With(remedy), nil, "is damaged: Huffman table 0x%02x was not defined", class<<4|id)
	case h.bogus:
		return nil, damaged(fmt.Sprintf("is damaged: Huffman table 0x%02x is bogus", class<<4|id), nil)
	default:
		return h, nil
	}
}

// huffmanTable decodes codes of up to 16 bits: T.81, annex C and F.2.2.3.
type huffmanTable struct {
	short  [1 << shortCode]uint16 // length << 8 | value, by the next bits; 0 for longer codes
	most   [17]int32              // largest code of each length, -1 for none
	first  [17]int32              // add it to a code to find the index of its value
	values []byte
	bogus  bool // it has more codes than its lengths allow
}

// shortCode is the length in bits up to which a code is looked up at once.
const shortCode = 9

func newHuffmanTable(counts [16]byte, values []byte) *huffmanTable {
	h := &huffmanTable{values: append([]byte(nil), values...)}
	code, at := int32(0), int32(0)
	for i, n := range counts {
		length := i + 1
		h.most[length], h.first[length] = -1, at-code
		if n == 0 {
			code <<= 1
			continue
		}
		if code+int32(n) > 1<<length {
			h.bogus = true
			return h
		}
		for range n {
			if length <= shortCode {
				fill := h.short[code<<(shortCode-length):][:1<<(shortCode-length)]
				for j := range fill {
					fill[j] = uint16(length)<<8 | uint16(values[at])
				}
			}
			code, at = code+1, at+1
		}
		h.most[length] = code - 1
		code <<= 1
	}
	return h
}
