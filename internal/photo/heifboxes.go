package photo

import (
	"bytes"
	"errors"
	"io"
	"slices"
)

// heifBox is one box.
type heifBox struct {
	kind string
	data []byte
	at   int64 // of its data in the file
}

// boxBytes reads numbers from a box and keeps the first error.
type boxBytes struct {
	b   []byte
	at  int64 // of b in the file
	err error
}

var errBox = errors.New("one of its boxes is inconsistent")

func (r *boxBytes) take(n int) []byte {
	if n < 0 || n > len(r.b) {
		r.err, r.b = errBox, nil
		return make([]byte, min(max(n, 0), 8))
	}
	taken := r.b[:n]
	r.b, r.at = r.b[n:], r.at+int64(n)
	return taken
}

// number reads a big-endian number of 0, 1, 2, 4 or 8 bytes.
func (r *boxBytes) number(n int) int64 {
	v := uint64(0)
	for _, b := range r.take(n) {
		v = v<<8 | uint64(b)
	}
	return int64(min(v, beyond))
}

// full reads the head of a full box: a version and flags.
func (r *boxBytes) full() (version byte, flags int64) {
	return byte(r.number(1)), r.number(3)
}

// number2or4 is an item's number, which later versions have in four bytes.
func (r *boxBytes) number2or4(long bool) int64 {
	if long {
		return r.number(4)
	}
	return r.number(2)
}

// boxes splits what is left into boxes.
func (r *boxBytes) boxes() (all []heifBox, err error) {
	for len(r.b) > 0 && r.err == nil {
		size, head := r.number(4), int64(8)
		kind := string(r.take(4))
		switch size {
		case 0:
			size = head + int64(len(r.b))
		case 1:
			size, head = r.number(8), 16
		}
		if size < head || size-head > int64(len(r.b)) {
			return nil, errBox
		}
		at := r.at
		all = append(all, heifBox{kind, r.take(int(size - head)), at})
	}
	return all, r.err
}

func (b heifBox) read() *boxBytes { return &boxBytes{b: b.data, at: b.at} }

// heifItem is one item.
type heifItem struct {
	id      int64
	kind    string // "hvc1", "grid", "Exif", ...
	content string // of a "mime" item
	hidden  bool
	flagsAt int64 // where the file has the byte of its flags
	inMeta  bool  // its data are in the box idat
	odd     bool  // its data are elsewhere, which is not read here
	extents [][2]int64
	traits  []heifBox // properties, in the order in which they apply
}

func (i *heifItem) trait(kind string) (b heifBox, has bool) {
	k := slices.IndexFunc(i.traits, func(b heifBox) bool { return b.kind == kind })
	if k < 0 {
		return b, false
	}
	return i.traits[k], true
}

// heifRef says that an item is a tile, a small picture, a description or a mask of others.
type heifRef struct {
	kind string
	from int64
	to   []int64
}

// heifFile is what a HEIF says.
type heifFile struct {
	src     *io.SectionReader
	items   []*heifItem
	primary int64
	refs    []heifRef
	idat    heifBox
}

func (f *heifFile) item(id int64) *heifItem {
	k := slices.IndexFunc(f.items, func(i *heifItem) bool { return i.id == id })
	if k < 0 {
		return nil
	}
	return f.items[k]
}

// topBox is a box of the file itself.
type topBox struct {
	kind     string
	at, size int64 // of its data
}

// topBoxes walks the boxes of the file. end is where the last of them ends, by its length.
func topBoxes(src *io.SectionReader, lim Limits) (all []topBox, end int64, err error) {
	for end < src.Size() {
		if len(all) == lim.MaxSegments {
			return nil, 0, errors.New("it has too many boxes")
		}
		var head [16]byte
		n, err := src.ReadAt(head[:], end)
		if n < 8 {
			return all, end + 8, noEOF(err)
		}
		r := boxBytes{b: head[:n]}
		size, headSize := r.number(4), int64(8)
		b := topBox{kind: string(r.take(4))}
		switch {
		case size == 0:
			size = src.Size() - end
		case size == 1 && n < len(head):
			return all, end + 16, io.ErrUnexpectedEOF
		case size == 1:
			size, headSize = r.number(8), 16
		}
		if size < headSize {
			return all, end, errBox
		}
		b.at, b.size = end+headSize, size-headSize
		all = append(all, b)
		end += size
	}
	return all, end, nil
}

// maxMeta bounds the box that describes the items, beside a profile.
const maxMeta = 4 << 20

// openHEIF reads the box that describes the items.
func openHEIF(src *io.SectionReader, lim Limits) (*heifFile, error) {
	top, end, err := topBoxes(src, lim)
	if err != nil {
		return nil, err
	}
	k := slices.IndexFunc(top, func(b topBox) bool { return b.kind == "meta" })
	if k < 0 && end > src.Size() {
		return nil, io.ErrUnexpectedEOF
	}
	if k < 0 {
		return nil, unsupported("is a HEIF without a still picture", "export the picture that you want to print as a TIFF or JPEG")
	}
	meta := top[k]
	if meta.size > int64(lim.MaxProfileBytes+maxMeta) {
		return nil, errors.New("the description of its pictures is too long")
	}
	if meta.at+meta.size > src.Size() {
		return nil, io.ErrUnexpectedEOF
	}
	b := make([]byte, meta.size)
	if _, err := src.ReadAt(b, meta.at); err != nil && err != io.EOF {
		return nil, err
	}
	f := &heifFile{src: src}
	return f, f.readMeta(&boxBytes{b: b, at: meta.at}, lim)
}

func (f *heifFile) readMeta(r *boxBytes, lim Limits) error {
	r.full()
	boxes, err := r.boxes()
	if err != nil {
		return err
	}
	for _, kind := range []string{"pitm", "iinf", "iloc", "iprp", "iref", "idat"} { // items come before what is said of them
		for _, b := range boxes {
			if b.kind != kind {
				continue
			}
			r := b.read()
			switch kind {
			case "pitm":
				version, _ := r.full()
				f.primary = r.number2or4(version > 0)
			case "iinf":
				err = f.readItems(r, lim)
			case "iloc":
				f.readPlaces(r)
			case "iprp":
				err = f.readTraits(r)
			case "iref":
				err = f.readRefs(r)
			case "idat":
				f.idat = b
			}
			if err != nil || r.err != nil {
				return errBox
			}
		}
	}
	return nil
}

func (f *heifFile) readItems(r *boxBytes, lim Limits) error {
	version, _ := r.full()
	r.number2or4(version > 0)
	boxes, err := r.boxes()
	if err != nil || len(boxes) > lim.MaxIFDEntries*16 {
		return errBox
	}
	for _, b := range boxes {
		r := b.read()
		version, flags := r.full()
		if b.kind != "infe" || version < 2 {
			continue
		}
		item := &heifItem{id: r.number2or4(version > 2), hidden: flags&1 != 0, flagsAt: b.at + 3}
		r.number(2)
		item.kind = string(r.take(4))
		if _, content, found := bytes.Cut(r.b, []byte{0}); found && item.kind == "mime" {
			content, _, _ = bytes.Cut(content, []byte{0})
			item.content = string(content)
		}
		if r.err != nil {
			return errBox
		}
		f.items = append(f.items, item)
	}
	return nil
}

// readPlaces reads where the items' data are: ISO/IEC 14496-12, 8.11.3.
func (f *heifFile) readPlaces(r *boxBytes) {
	version, _ := r.full()
	sizes := r.number(2)
	offset, length, base, index := int(sizes>>12), int(sizes>>8&15), int(sizes>>4&15), int(sizes&15)
	if version == 0 {
		index = 0
	}
	for n := r.number2or4(version > 1); n > 0 && r.err == nil; n-- {
		item := f.item(r.number2or4(version > 1))
		if item == nil {
			item = &heifItem{} // nobody asks for it
		}
		if version > 0 {
			method := r.number(2) & 15
			item.inMeta, item.odd = method == 1, method > 1
		}
		item.odd = r.number(2) != 0 || item.odd // in another file
		from := r.number(base)
		for k := r.number(2); k > 0 && r.err == nil; k-- {
			r.number(index)
			at, size := from+r.number(offset), r.number(length)
			item.extents = append(item.extents, [2]int64{at, size})
		}
	}
}

// readTraits reads the properties and whose they are.
func (f *heifFile) readTraits(r *boxBytes) error {
	boxes, err := r.boxes()
	if err != nil {
		return err
	}
	var all []heifBox
	for _, b := range boxes {
		r := b.read()
		switch b.kind {
		case "ipco":
			if all, err = r.boxes(); err != nil {
				return err
			}
		case "ipma":
			version, flags := r.full()
			for n := r.number(4); n > 0 && r.err == nil; n-- {
				item := f.item(r.number2or4(version > 0))
				for k := r.number(1); k > 0 && r.err == nil; k-- {
					wide := int(flags & 1)
					which := r.number(1+wide)&(1<<(7+8*wide)-1) - 1
					if item != nil && which >= 0 && which < int64(len(all)) {
						item.traits = append(item.traits, all[which])
					}
				}
			}
			if r.err != nil {
				return r.err
			}
		}
	}
	return nil
}

func (f *heifFile) readRefs(r *boxBytes) error {
	version, _ := r.full()
	boxes, err := r.boxes()
	if err != nil {
		return err
	}
	for _, b := range boxes {
		r := b.read()
		ref := heifRef{kind: b.kind, from: r.number2or4(version > 0)}
		for n := r.number(2); n > 0 && r.err == nil; n-- {
			ref.to = append(ref.to, r.number2or4(version > 0))
		}
		if r.err != nil {
			return r.err
		}
		f.refs = append(f.refs, ref)
	}
	return nil
}

// data reads an item of at most so many bytes.
func (f *heifFile) data(i *heifItem, max int) ([]byte, error) {
	var all []byte
	if i.odd {
		return nil, errors.New("a part of it lies in another file or item")
	}
	for _, e := range i.extents {
		size := e[1]
		if i.inMeta {
			r := boxBytes{b: f.idat.data}
			r.take(int(min(e[0], beyond)))
			all = append(all, r.take(int(min(size, beyond)))...)
			if r.err != nil {
				return nil, r.err
			}
			continue
		}
		if size == 0 { // to the end
			size = f.src.Size() - e[0]
		}
		if size < 0 || size > int64(max-len(all)) {
			return nil, errLong
		}
		if e[0] > f.src.Size()-size {
			return nil, io.ErrUnexpectedEOF
		}
		part := make([]byte, size)
		if _, err := f.src.ReadAt(part, e[0]); err != nil && err != io.EOF {
			return nil, err
		}
		all = append(all, part...)
	}
	return all, nil
}

// tiles are the items that an item is made of: itself, if it is coded.
func (f *heifFile) tiles(i *heifItem) (tiles []*heifItem) {
	if i.kind == "hvc1" || i.kind == "av01" {
		return []*heifItem{i}
	}
	for _, ref := range f.refs {
		if ref.kind != "dimg" || ref.from != i.id {
			continue
		}
		for _, id := range ref.to {
			if tile := f.item(id); tile != nil && (tile.kind == "hvc1" || tile.kind == "av01") {
				tiles = append(tiles, tile)
			}
		}
	}
	return tiles
}

// about are the items that refer to an item as kind says.
func (f *heifFile) about(i *heifItem, kind string) (all []*heifItem) {
	for _, ref := range f.refs {
		if from := f.item(ref.from); ref.kind == kind && from != nil && slices.Contains(ref.to, i.id) {
			all = append(all, from)
		}
	}
	return all
}
