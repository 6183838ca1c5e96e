package colour

import (
	"encoding/binary"
	"math"
)

// printer is a synthetic RGB printer: three dyes with cross-talk on a paper that is not
// quite white, with a black that is not quite black. It can be inverted exactly, so both
// tables of its profile are correct.
type printer struct{ leak, gamma float64 }

var printerBlack, printerWhite = XYZ{0.0058, 0.006, 0.0048}, XYZ{0.83, 0.86, 0.70}

func (p printer) mix() [3][3]float64 {
	l := p.leak
	return mul(SRGB.Matrix(), [3][3]float64{{1 - 2*l, l, l}, {l, 1 - 2*l, l}, {l, l, 1 - 2*l}})
}

// relative returns the colour relative to the paper, as in an ICC table.
func (p printer) relative(d []float64) XYZ {
	var lin [3]float64
	for i := range lin {
		lin[i] = math.Pow(d[i], p.gamma)
	}
	v := mulVec(p.mix(), lin)
	for i := range v {
		black := printerBlack[i] / printerWhite[i] * D50[i]
		v[i] = black + (1-black/D50[i])*v[i]
	}
	return v
}

func (p printer) device(d []float64, c XYZ) {
	var v [3]float64
	for i := range v {
		black := printerBlack[i] / printerWhite[i] * D50[i]
		v[i] = (c[i] - black) / (1 - black/D50[i])
	}
	lin := mulVec(inverse(p.mix()), v)
	for i := range lin {
		d[i] = math.Pow(min(max(lin[i], 0), 1), 1/p.gamma)
	}
}

const tableSide = 33

// eachNode calls f for every node of a lattice of three inputs.
func eachNode(f func(in []float64)) {
	in := make([]float64, 4)
	for i := range tableSide * tableSide * tableSide {
		in[0] = float64(i/(tableSide*tableSide)) / (tableSide - 1)
		in[1] = float64(i/tableSide%tableSide) / (tableSide - 1)
		in[2] = float64(i%tableSide) / (tableSide - 1)
		f(in)
	}
}

func (p printer) forward(encode func(Lab) [3]uint16) (out []uint16) {
	eachNode(func(in []float64) {
		v := encode(p.relative(in).Lab())
		out = append(out, v[:]...)
	})
	return out
}

func (p printer) backward() (out []uint16) {
	eachNode(func(in []float64) {
		d := make([]float64, 4)
		p.device(d, Lab{in[0] * 100, in[1]*255 - 128, in[2]*255 - 128}.XYZ())
		out = append(out, to16(d[0]), to16(d[1]), to16(d[2]))
	})
	return out
}

func to16(v float64) uint16 { return uint16(math.Round(65535 * min(max(v, 0), 1))) }

// The Lab encodings of ICC.1:2022 10.10 (legacy, in lut16Type) and 6.3.4.2.
func legacyLab(c Lab) [3]uint16 {
	e := func(v float64) uint16 { return uint16(math.Round(min(max(v, 0), 65535))) }
	return [3]uint16{e(c[0] * 652.8), e((c[1] + 128) * 256), e((c[2] + 128) * 256)}
}

func plainLab(c Lab) [3]uint16 {
	return [3]uint16{to16(c[0] / 100), to16((c[1] + 128) / 255), to16((c[2] + 128) / 255)}
}

// v2 returns an ICC v2 output profile with lut16Type tables.
func (p printer) v2() []byte {
	forward, backward := mft2(p.forward(legacyLab)), mft2(rescaled(p))
	return asOutput(2, []tag{
		{"desc", descTag("A made-up RGB printer")}, {"cprt", copyright()}, {"wtpt", xyzTag(printerWhite)},
		{"A2B0", forward}, {"A2B1", forward}, {"B2A0", backward}, {"B2A1", backward},
	})
}

// rescaled is backward for the legacy encoding, in which the end of a table is
// 65535/65280 of that in the plain encoding.
func rescaled(p printer) (out []uint16) {
	eachNode(func(in []float64) {
		d := make([]float64, 4)
		l, a, b := in[0]*65535/652.8, in[1]*65535/256-128, in[2]*65535/256-128
		p.device(d, Lab{l, a, b}.XYZ())
		out = append(out, to16(d[0]), to16(d[1]), to16(d[2]))
	})
	return out
}

// v4 returns an ICC v4 output profile with lutAToBType and lutBToAType tables.
func (p printer) v4() []byte {
	forward, backward := modular("mAB ", p.forward(plainLab)), modular("mBA ", p.backward())
	return asOutput(4, []tag{
		{"desc", mluc("A made-up RGB printer, v4")}, {"cprt", mluc("No copyright, use freely")}, {"wtpt", xyzTag(printerWhite)},
		{"A2B0", forward}, {"A2B1", forward}, {"B2A0", backward}, {"B2A1", backward},
	})
}

// asOutput assembles the profile of an output device with a Lab connection space.
func asOutput(version byte, tags []tag) []byte {
	b := assemble("RGB ", tags)
	copy(b[12:], "prtrRGB Lab ")
	if version == 4 {
		binary.BigEndian.PutUint32(b[8:], 0x04300000)
	}
	return b
}

// mft2 returns a lut16Type, ICC.1:2022 10.10: a table with identity matrix and curves.
func mft2(table []uint16) []byte {
	be := binary.BigEndian
	b := append([]byte("mft2\x00\x00\x00\x00"), 3, 3, tableSide, 0)
	for _, v := range []uint32{1, 0, 0, 0, 1, 0, 0, 0, 1} {
		b = be.AppendUint32(b, v<<16)
	}
	b = be.AppendUint16(be.AppendUint16(b, 2), 2)
	straight := func() {
		for range 3 {
			b = be.AppendUint16(be.AppendUint16(b, 0), 65535)
		}
	}
	straight()
	for _, v := range table {
		b = be.AppendUint16(b, v)
	}
	straight()
	return b
}

// modular returns a lutAToBType or lutBToAType, ICC.1:2022 10.12 and 10.13: a table between
// linear A and B curves.
func modular(sig string, table []uint16) []byte {
	be := binary.BigEndian
	curves := []byte{}
	for range 3 {
		curves = append(curves, "curv\x00\x00\x00\x00\x00\x00\x00\x00"...)
	}
	clut := append([]byte{tableSide, tableSide, tableSide}, make([]byte, 13)...)
	clut = append(clut, 2, 0, 0, 0)
	for _, v := range table {
		clut = be.AppendUint16(clut, v)
	}
	clut = append(clut, make([]byte, -len(clut)&3)...)
	const start = 32
	b := append([]byte(sig), 0, 0, 0, 0, 3, 3, 0, 0)
	for _, offset := range []int{start, 0, 0, start + len(curves), start + len(curves) + len(clut)} {
		b = be.AppendUint32(b, uint32(offset)) // B curves, matrix, M curves, table, A curves
	}
	return append(append(append(b, curves...), clut...), curves...)
}

// mluc returns a multiLocalizedUnicodeType, ICC.1:2022 10.15, with one text.
func mluc(text string) []byte {
	be := binary.BigEndian
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = be.AppendUint32(be.AppendUint32(b, uint32(2*len(text))), 28)
	for _, r := range text {
		b = be.AppendUint16(b, uint16(r))
	}
	return b
}
