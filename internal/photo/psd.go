package photo

import (
	"bufio"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// A PSD, or its large form PSB, holds layers and, at its end, the picture that they make
// together: the composite. Only the composite is read. The form is that of the published
// file format specification: a head, four sections with their lengths, all numbers
// big-endian.

const remedyComposite = "save it again with the option that keeps a flattened picture in the file (often named compatibility), or export it as a TIFF"

// Colour modes.
const (
	psdGrey = 1
	psdRGB  = 3
	psdCMYK = 4
)

var psdModes = map[uint16]string{0: "a bitmap of black and white", 2: "a colour palette", 7: "separate inks", 8: "duotone inks", 9: "CIELAB colours"}

// psdFile is what a PSD says of its composite.
type psdFile struct {
	big           bool // a PSB
	channels      int
	width, height int
	bits          int
	mode          uint16
	resources     *io.SectionReader
	layers        *io.SectionReader
	composite     *io.SectionReader // with its compression, to the file's end
	layered       bool              // there are layers
	alpha         bool              // the composite's first channel after its colours is its transparency
	blank         bool              // the composite was not saved
	exif          bool              // there was an EXIF resource; the first counts
}

func (f *psdFile) model() Model {
	switch f.mode {
	case psdGrey:
		return Grey
	case psdCMYK:
		return CMYK
	}
	return RGB
}

func (f *psdFile) rowBytes() int { return f.width * f.bits / 8 }

// psdReader reads numbers one after another and keeps the first error.
type psdReader struct {
	src *io.SectionReader
	at  int64
	err error
}

func (r *psdReader) bytes(n int) []byte {
	b := make([]byte, n)
	if r.err == nil {
		if got, err := r.src.ReadAt(b, r.at); got < n {
			r.err = noEOF(err)
			clear(b)
		}
	}
	r.at += int64(n)
	return b
}

func (r *psdReader) u16() uint16 { return binary.BigEndian.Uint16(r.bytes(2)) }
func (r *psdReader) u32() int64  { return int64(binary.BigEndian.Uint32(r.bytes(4))) }

// length is of four bytes, or of eight in some places of a PSB.
func (r *psdReader) length(big bool) int64 {
	if !big {
		return r.u32()
	}
	return int64(min(beyond, binary.BigEndian.Uint64(r.bytes(8))))
}

// section is the next n bytes, which may reach beyond the end.
func (r *psdReader) section(n int64) *io.SectionReader {
	s := io.NewSectionReader(r.src, r.at, n)
	r.at += n
	return s
}

// openPSD reads the head and finds the sections.
func openPSD(src *io.SectionReader) (*psdFile, error) {
	const head = 26
	r := &psdReader{src: src}
	b := r.bytes(head)
	version := binary.BigEndian.Uint16(b[4:])
	f := &psdFile{
		big:      version == 2,
		channels: int(binary.BigEndian.Uint16(b[12:])),
		height:   int(binary.BigEndian.Uint32(b[14:])), width: int(binary.BigEndian.Uint32(b[18:])),
		bits: int(binary.BigEndian.Uint16(b[22:])), mode: binary.BigEndian.Uint16(b[24:]),
	}
	if r.err == nil && version != 1 && version != 2 {
		return nil, unsupported(fmt.Sprintf("is a PSD of version %d, which is not read here", version), remedyExport)
	}
	r.section(r.u32()) // of palettes and duotones
	f.resources = r.section(r.u32())
	f.layers = r.section(r.length(f.big))
	if r.err != nil {
		return nil, r.err
	}
	f.composite = io.NewSectionReader(src, r.at, max(0, src.Size()-r.at))
	return f, nil
}

// check refuses the sorts of PSD that are not read.
func (f *psdFile) check() error {
	const remedy = "convert it to RGB of 8 or 16 bits, or export it as a TIFF"
	if what, known := psdModes[f.mode]; known {
		return unsupported("is a PSD of "+what+", which is not read here", remedy)
	}
	switch {
	case f.mode != psdGrey && f.mode != psdRGB && f.mode != psdCMYK:
		return unsupported(fmt.Sprintf("is a PSD of colour mode %d, which is not read here", f.mode), remedy)
	case f.bits == 1 || f.bits == 32:
		return unsupported(fmt.Sprintf("is a PSD of %d-bit samples, which is not read here", f.bits), remedy)
	case f.bits != 8 && f.bits != 16:
		return errors.New("its depth is inconsistent")
	case f.channels < f.model().Channels() || f.channels > 56:
		return errors.New("its number of channels is inconsistent")
	}
	return nil
}

// identifyPSD reads all but the layers and the pixels.
func identifyPSD(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	f, err := openPSD(src)
	if err != nil {
		return nil, err
	}
	if err := f.check(); err != nil {
		return nil, err
	}
	if err := in.readPSDResources(f, lim); err != nil {
		return nil, err
	}
	if f.blank {
		return nil, unsupported("is a PSD that was saved without its flattened picture, so only its layers are there", remedyComposite)
	}
	f.readLayers(lim)
	sample := float64(f.bits / 8)
	colours := float64(f.model().Channels()) * sample
	asks := demand{f.width, f.height, colours, float64(f.channels) * sample, src.Size(), colours}
	if err := lim.check(asks); err != nil {
		return nil, err
	}
	in.setSize(f.width, f.height)
	in.Bits, in.Model = f.bits, f.model()
	in.setRoom(lim, asks, in.Model.Channels())
	if extra := f.channels - in.Model.Channels(); extra > 1 || extra == 1 && !f.alpha {
		in.caution(CautionChannels, "The PSD has channels beyond its colours, such as saved selections; they were left out.")
	}
	return func(p *Photo) error { return p.decodePSD(f) }, nil
}

// readPSDResources reads the blocks of the second section.
func (in *Info) readPSDResources(f *psdFile, lim Limits) error {
	r := &psdReader{src: f.resources}
	for n := 0; r.at < f.resources.Size() && n < lim.MaxSegments; n++ {
		signature, id := string(r.bytes(4)), r.u16()
		name := int64(r.bytes(1)[0])
		r.at += name + (name+1)&1 // the name and its length are padded to an even number
		data := r.section(r.u32())
		r.at += data.Size() & 1
		if r.err != nil || data.Size() > f.resources.Size() || signature == "\x00\x00\x00\x00" {
			return cmp.Or(r.err, errors.New("its resources are inconsistent"))
		}
		in.readPSDResource(f, id, data, lim)
	}
	return nil
}

func (in *Info) readPSDResource(f *psdFile, id uint16, data *io.SectionReader, lim Limits) {
	const iptc, profile, version, exif, xmp = 1028, 1039, 1057, 1058, 1060
	switch id {
	case profile:
		b, err := readAtMost(data, lim.MaxProfileBytes)
		in.setProfile(b, err == nil && len(b) > 0)
	case iptc, xmp:
		b, err := readAtMost(data, lim.MaxEXIFBytes)
		if id == xmp {
			in.readXMP(b, err, lim)
		} else {
			in.readIPTC(b, err, lim)
		}
	case version: // a number, and whether the composite is real
		r := &psdReader{src: data}
		r.u32()
		f.blank = r.bytes(1)[0] == 0 && r.err == nil
	case exif:
		if f.exif {
			return
		}
		f.exif = true
		b, err := readAtMost(data, lim.MaxEXIFBytes)
		if err == nil {
			err = in.readEXIF(b, lim)
		}
		in.setEXIF(err)
	}
}

// readLayers finds whether there are layers, and whether the composite has transparency: a
// negative number of layers says so, which a file of 16 bits has in a block of its own.
func (f *psdFile) readLayers(lim Limits) {
	r := &psdReader{src: f.layers}
	if f.layers.Size() == 0 {
		return
	}
	if info := r.section(r.length(f.big)); info.Size() >= 2 {
		f.countLayers(info)
	}
	r.section(r.u32()) // the mask of all layers
	for n := 0; r.err == nil && r.at+12 <= f.layers.Size() && n < lim.MaxSegments; n++ {
		signature, key := string(r.bytes(4)), string(r.bytes(4))
		if signature != "8BIM" && signature != "8B64" {
			return
		}
		data := r.section(r.length(f.big && psdLong[key]))
		r.at = (r.at + 3) &^ 3
		switch key {
		case "Lr16", "Layr":
			f.countLayers(data)
		case "Mt16", "Mtrn":
			f.alpha = true
		}
	}
}

// psdLong are the blocks whose length has eight bytes in a PSB.
var psdLong = map[string]bool{"LMsk": true, "Lr16": true, "Lr32": true, "Layr": true, "Mt16": true, "Mt32": true, "Mtrn": true,
	"Alph": true, "FMsk": true, "lnk2": true, "FEid": true, "FXid": true, "PxSD": true}

func (f *psdFile) countLayers(info *io.SectionReader) {
	r := &psdReader{src: info}
	n := int16(r.u16())
	f.layered = f.layered || n != 0
	f.alpha = f.alpha || n < 0
}

// Compressions of the composite.
const (
	psdRaw = 0
	psdRLE = 1 // PackBits, each row by itself, after a table of their lengths
)

// psdRows reads the rows of the composite, one channel after another.
type psdRows struct {
	*psdFile
	in     *bufio.Reader
	counts []byte // of the rows, 2 or 4 bytes each; nil if they are not packed
	packed []byte
	n      int // rows read
}

func (f *psdFile) openRows() (*psdRows, error) {
	rows := &psdRows{psdFile: f, in: fromStart(f.composite)}
	var head [2]byte
	if _, err := io.ReadFull(rows.in, head[:]); err != nil {
		return nil, noEOF(err)
	}
	switch compression := binary.BigEndian.Uint16(head[:]); compression {
	case psdRaw:
		return rows, nil
	case psdRLE:
		if table := f.countBytes() * int64(f.channels) * int64(f.height); table > f.composite.Size() {
			return nil, io.ErrUnexpectedEOF
		}
		rows.counts = make([]byte, f.countBytes()*int64(f.channels)*int64(f.height))
		_, err := io.ReadFull(rows.in, rows.counts)
		return rows, noEOF(err)
	default:
		return nil, unsupported(fmt.Sprintf("is a PSD whose flattened picture has compression %d, which is not read here", compression), remedyExport)
	}
}

// countBytes is the bytes of one row's length.
func (f *psdFile) countBytes() int64 {
	if f.big {
		return 4
	}
	return 2
}

// count is the packed length of row n.
func (r *psdRows) count(n int) int {
	if r.big {
		return int(binary.BigEndian.Uint32(r.counts[4*n:]))
	}
	return int(binary.BigEndian.Uint16(r.counts[2*n:]))
}

// read reads the next row.
func (r *psdRows) read(row []byte) error {
	n := r.n
	r.n++
	if r.counts == nil {
		_, err := io.ReadFull(r.in, row)
		return noEOF(err)
	}
	count := r.count(n)
	if most := 2*len(row) + 2; count > most {
		return badRow()
	}
	if cap(r.packed) < count {
		r.packed = make([]byte, count)
	}
	packed := r.packed[:count]
	if _, err := io.ReadFull(r.in, packed); err != nil {
		return noEOF(err)
	}
	return unpackRow(row, packed)
}

func badRow() error {
	return damaged("is damaged: one of its packed rows has another length than the picture is wide", nil)
}

// unpackRow unpacks PackBits that must fill a row exactly.
func unpackRow(row, packed []byte) error {
	for len(packed) > 0 {
		n := int(int8(packed[0]))
		packed = packed[1:]
		switch {
		case n >= 0:
			if n++; n > len(packed) || n > len(row) {
				return badRow()
			}
			copy(row, packed[:n])
			row, packed = row[n:], packed[n:]
		case n > -128: // -128 is no operation
			if n = 1 - n; len(packed) == 0 || n > len(row) {
				return badRow()
			}
			for i := range n {
				row[i] = packed[0]
			}
			row, packed = row[n:], packed[1:]
		}
	}
	if len(row) > 0 {
		return badRow()
	}
	return nil
}

// decodePSD reads the composite. Ink is stored the other way round. Where the composite is
// transparent its colours lie over white already.
func (p *Photo) decodePSD(f *psdFile) error {
	rows, err := f.openRows()
	if err != nil {
		return err
	}
	even := true
	for range p.Channels() {
		pl := p.room.newPlane(f.width, f.height, f.bits == 16)
		for y := range f.height {
			row := pl.pix[y*pl.stride:][:pl.stride]
			if err := rows.read(row); err != nil {
				return err
			}
			if p.Model == CMYK {
				invert(row)
			}
			p.room.wrote(len(row))
		}
		even = even && pl.all(pl.at(0))
		p.planes = append(p.planes, pl)
	}
	if even && f.layered {
		return unsupported("is a PSD whose flattened picture is all of one colour, as if it had not been saved", remedyComposite)
	}
	return p.readPSDExtra(f, rows)
}

// readPSDExtra reads the channels after the colours, of which only the transparency counts,
// and looks at what follows them.
func (p *Photo) readPSDExtra(f *psdFile, rows *psdRows) error {
	row := newPlane(f.width, 1, f.bits == 16)
	opaque, clear := true, true
	for c := p.Channels(); c < f.channels; c++ {
		for range f.height {
			if err := rows.read(row.pix); err != nil {
				return err
			}
			if c == p.Channels() {
				opaque, clear = opaque && row.all(row.white()), clear && row.all(0)
			}
		}
	}
	switch {
	case !f.alpha || f.channels == p.Channels() || opaque:
	case clear:
		return unsupported("is transparent everywhere, so its print would be blank", "export it without transparency")
	default:
		p.caution(CautionAlpha, "The picture has transparent parts, which its flattened picture shows over white.")
	}
	if _, err := rows.in.ReadByte(); err == nil {
		p.irregular("more follows its flattened picture")
	}
	return nil
}

// endedPSD works out where the composite ends.
func endedPSD(src *io.SectionReader, lim Limits) error {
	f, err := openPSD(src)
	about := int64(0)
	if err == nil {
		about, err = f.end(src)
	}
	switch {
	case fromDisk(err):
		return err
	case errors.Is(err, io.ErrUnexpectedEOF), err == nil && about > src.Size():
		return tooShort(src.Size(), about)
	case err != nil:
		return nil // not read here, or damaged
	}
	if hole(src, about-1, 1) {
		return holed(src.Size())
	}
	return nil
}

// end is where the composite ends.
func (f *psdFile) end(src *io.SectionReader) (int64, error) {
	begin := src.Size() - f.composite.Size() + 2
	if f.composite.Size() == 0 {
		return 0, io.ErrUnexpectedEOF
	}
	if err := f.check(); err != nil {
		return 0, err
	}
	rows := int64(f.channels) * int64(f.height)
	if rows > src.Size() || rows*int64(f.rowBytes()) < 0 {
		return 0, io.ErrUnexpectedEOF // a packed row takes two bytes at least
	}
	r, err := f.openRows()
	if err != nil {
		return 0, err
	}
	if r.counts == nil {
		return begin + rows*int64(f.rowBytes()), nil
	}
	end, zeros := begin+int64(len(r.counts)), 0
	for n := range f.channels * f.height {
		count := r.count(n)
		if count == 0 {
			zeros++
		}
		end += int64(count)
	}
	if zeros > 0 { // no row takes no bytes
		return 0, io.ErrUnexpectedEOF
	}
	return end, nil
}
