package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"sizewright/internal/hold"
)

// A HEIF (HEIC, AVIF) is a file of boxes (ISO/IEC 14496-12) with items (ISO/IEC 23008-12):
// the picture, often cut into the tiles of a grid, small pictures, gain maps, EXIF. This
// file reads what a plan needs. heifdecode.go has another program decode the pixels.

// NoDecoder is for a HEIF where no program is installed that decodes it.
var NoDecoder = hold.New("no-decoder", installDecoder+", and drop it again; or export it as a TIFF or JPEG")

const installDecoder = "install Debian's package libheif-examples (and libheif-plugin-libde265 and libheif-plugin-dav1d where Debian has them)"

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

// identifyHEIF reads the description of the items.
func identifyHEIF(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	f, err := openHEIF(src, lim)
	if err != nil {
		return nil, err
	}
	picture := f.item(f.primary)
	if picture == nil {
		return nil, errors.New("it has no main picture")
	}
	tiles := f.tiles(picture)
	if len(tiles) == 0 {
		return nil, unsupported("is a HEIF of a kind of picture ("+cleanText([]byte(picture.kind), 16)+") that is not read here", remedyExport)
	}
	if err := in.readHEIFTraits(f, picture, tiles[0], lim); err != nil {
		return nil, err
	}
	in.Model = RGB
	perPixel := float64(4 * in.Bits / 8) // of the decoded picture, which comes as a PNG
	if err := lim.check(demand{in.Width, in.Height, 2 * perPixel, 3 * float64(in.Bits/8), src.Size(), 0}); err != nil {
		return nil, err
	}
	in.readHEIFEXIF(f, picture, lim)
	if err := in.cautionHEIF(f, picture); err != nil {
		return nil, err
	}
	if heifDecoder() == "" {
		return nil, wrong(NoDecoder, nil, "is a %s picture, and no program is installed that decodes it", in.Format)
	}
	return func(p *Photo) error { return p.decodeHEIF(f, tiles, lim) }, nil
}

// readHEIFTraits reads the size, the depth and the colours. Those of a grid may be with its
// first tile.
func (in *Info) readHEIFTraits(f *heifFile, picture, tile *heifItem, lim Limits) error {
	in.Bits = heifBits(tile)
	width, height := int64(0), int64(0)
	for _, t := range picture.traits {
		r := t.read()
		switch t.kind {
		case "ispe":
			r.full()
			width, height = r.number(4), r.number(4)
		case "clap": // the width and the height as fractions
			w, wBelow, h, hBelow := r.number(4), r.number(4), r.number(4), r.number(4)
			if wBelow < 1 || hBelow < 1 {
				return errBox
			}
			width, height = min(width, (w+wBelow/2)/wBelow), min(height, (h+hBelow/2)/hBelow)
		case "irot":
			if r.number(1)&1 == 1 {
				width, height = height, width
			}
		}
		if r.err != nil {
			return r.err
		}
	}
	in.setSize(int(min(width, 1<<31)), int(min(height, 1<<31)))
	for _, i := range []*heifItem{picture, tile} {
		for _, t := range i.traits {
			if t.kind != "colr" {
				continue
			}
			if err := in.readColr(t.read(), lim); err != nil {
				return err
			}
		}
	}
	if in.Profile != nil {
		in.Stated.CICP, in.Stated.From = nil, "" // they are for the decoder
	}
	return nil
}

// heifBits is the depth that samples have once decoded, by the codec's own configuration.
func heifBits(tile *heifItem) int {
	deep := false
	if c, has := tile.trait("hvcC"); has && len(c.data) > 17 {
		deep = c.data[17]&7 > 0
	}
	if c, has := tile.trait("av1C"); has && len(c.data) > 2 {
		deep = c.data[2]&0x40 != 0
	}
	if deep {
		return 16
	}
	return 8
}

// readColr reads a profile, or the code points of ITU-T H.273.
func (in *Info) readColr(r *boxBytes, lim Limits) error {
	switch kind := string(r.take(4)); kind {
	case "prof", "rICC":
		if in.Profile == nil {
			in.setProfile(bytes.Clone(r.b), len(r.b) > 0 && len(r.b) <= lim.MaxProfileBytes)
		}
	case "nclx":
		c := CICP{byte(r.number(2)), byte(r.number(2))}
		if name := map[byte]string{transferPQ: "PQ", transferHLG: "HLG"}[c.Transfer]; name != "" {
			return highRange(name, "its nclx colour")
		}
		if in.Stated.CICP == nil && r.err == nil && (c.Primaries != transferUnspecified || c.Transfer != transferUnspecified) {
			in.Stated.CICP, in.Stated.From = &c, FromHEIF
		}
	}
	return r.err
}

// readHEIFEXIF reads the EXIF and the XMP of the main picture. Its orientation does not count: a HEIF
// turns its picture by properties of its own, which the decoder obeys (ISO/IEC 23000-22, 7.3.6.7).
func (in *Info) readHEIFEXIF(f *heifFile, picture *heifItem, lim Limits) {
	const offset = 4 // of the EXIF behind it
	read := false
	for _, i := range f.about(picture, "cdsc") {
		if i.kind == "mime" && i.content == "application/rdf+xml" {
			b, err := f.data(i, lim.MaxEXIFBytes)
			in.readXMP(b, err, lim)
		}
		if i.kind != "Exif" || read {
			continue
		}
		read = true
		b, err := f.data(i, lim.MaxEXIFBytes)
		if err == nil {
			r := boxBytes{b: b}
			r.take(int(r.number(offset)))
			if err = r.err; err == nil {
				err = in.readEXIF(r.b, lim)
			}
		}
		in.setEXIF(err)
	}
	_, turned := picture.trait("irot")
	_, mirrored := picture.trait("imir")
	if in.Orientation != 1 && !turned && !mirrored {
		in.caution(CautionEXIF, "The EXIF says that the picture is to be turned, and the "+in.Format+" itself does not, which alone counts; check that it stands upright.")
	}
	in.Orientation = 1
}

// cautionHEIF says what of the file is not printed.
func (in *Info) cautionHEIF(f *heifFile, picture *heifItem) error {
	if len(f.about(picture, "prem")) > 0 || slices.ContainsFunc(f.refs, func(r heifRef) bool { return r.kind == "prem" && r.from == picture.id }) {
		return notRead("a HEIF whose colours are multiplied by their alpha", remedyExport)
	}
	gain := slices.ContainsFunc(f.items, func(i *heifItem) bool { return i.kind == "tmap" })
	for _, i := range f.about(picture, "auxl") {
		aux, _ := i.trait("auxC")
		gain = gain || bytes.Contains(aux.data, []byte("gainmap"))
	}
	if gain {
		in.caution(CautionGainMap, "The picture has a gain map, with which bright displays show it brighter; it was left out, as paper has no such range.")
	}
	if len(f.others(picture)) > 0 {
		in.caution(CautionPages, "The "+in.Format+" has more than one picture; only its main one was read.")
	}
	return nil
}

// others are the pictures beside the main one that stand for themselves.
func (f *heifFile) others(picture *heifItem) (all []*heifItem) {
	for _, i := range f.items {
		if i != picture && !i.hidden && slices.Contains([]string{"hvc1", "av01", "grid", "iden", "iovl"}, i.kind) && !f.partOf(i) {
			all = append(all, i)
		}
	}
	return all
}

// partOf reports whether an item is a tile, a small picture or a mask of another.
func (f *heifFile) partOf(i *heifItem) bool {
	return slices.ContainsFunc(f.refs, func(r heifRef) bool {
		return r.kind == "dimg" && slices.Contains(r.to, i.id) || (r.kind == "auxl" || r.kind == "thmb") && r.from == i.id
	})
}

// checkCoded refuses coded data that cannot be whole: neither HEVC nor AV1 has a checksum,
// but both say how long their parts are, and HEVC never has three zeros in a row.
func (p *Photo) checkCoded(f *heifFile, tiles []*heifItem) error {
	left := 2*int(f.src.Size()) + 4<<20 // several tiles may lie in one place
	for n, tile := range tiles {
		b, err := f.data(tile, left)
		if err != nil {
			return err
		}
		left -= len(b)
		whole := wholeOBUs
		if tile.kind == "hvc1" {
			c, _ := tile.trait("hvcC")
			if len(c.data) < 22 {
				return errBox
			}
			whole = func(b []byte) bool { return wholeNALs(b, int(c.data[21]&3)+1) }
		}
		if len(b) == 0 || !whole(b) {
			what := "its coded data"
			if len(tiles) > 1 {
				what = fmt.Sprintf("the coded data of tile %d of %d", n+1, len(tiles))
			}
			return damaged("is damaged: "+what+" are not whole", nil)
		}
		if err := p.checkZeros(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b)))); err != nil {
			return err
		}
	}
	return nil
}

// wholeNALs reports whether HEVC units, each after its length, fill b, and keep to the rule
// that three bytes of a unit are never 0, 0 and 0 to 2 (ITU-T H.265, 7.4.2.1).
func wholeNALs(b []byte, length int) bool {
	for r := (boxBytes{b: b}); len(r.b) > 0; {
		n := 0
		for _, v := range r.take(length) {
			n = n<<8 | int(v)
		}
		unit := r.take(n)
		if r.err != nil || len(unit) < 2 {
			return false
		}
		for at := 0; ; {
			next := bytes.Index(unit[at:], []byte{0, 0})
			if next < 0 {
				break
			}
			if at += next; at+2 < len(unit) && unit[at+2] < 3 || at+2 == len(unit) {
				return false
			}
			at += 2
		}
	}
	return true
}

// wholeOBUs reports whether AV1 units fill b (AV1 specification, 5.3).
func wholeOBUs(b []byte) bool {
	for r := (boxBytes{b: b}); len(r.b) > 0; {
		head := r.number(1)
		if head&0x80 != 0 {
			return false
		}
		if head&4 != 0 {
			r.number(1)
		}
		if head&2 == 0 { // the last may lack its length
			return r.err == nil
		}
		size, n := binary.Uvarint(r.b)
		if n <= 0 || size > uint64(len(r.b)-n) {
			return false
		}
		r.take(n + int(size))
	}
	return true
}

// endedHEIF follows the boxes, by their lengths, and the places of the items.
func endedHEIF(src *io.SectionReader, lim Limits) error {
	top, end, err := topBoxes(src, lim)
	switch {
	case fromDisk(err):
		return err
	case len(top) > 0 && strings.Trim(top[len(top)-1].kind, "\x00") == "" && len(top) > 1:
		return noEnd(src) // zeros in place of boxes
	case errors.Is(err, io.ErrUnexpectedEOF), err == nil && end > src.Size():
		return tooShort(src.Size(), end)
	case err != nil:
		return noEndOr(src)
	}
	if !slices.ContainsFunc(top, func(b topBox) bool { return b.kind == "meta" || b.kind == "moov" }) {
		return tooShort(src.Size(), 0) // the description may come last
	}
	f, err := openHEIF(src, lim)
	if err != nil {
		if fromDisk(err) {
			return err
		}
		return nil // damaged
	}
	return f.ended()
}

// noEndOr is for a file whose boxes cannot be followed: it ends in zeros, or is damaged.
func noEndOr(src *io.SectionReader) error {
	tail, err := tailOf(src, tailBytes)
	if err != nil || len(tail) < tailBytes || !allZero(tail) {
		return err
	}
	return noEnd(src)
}

// ended checks that the items' data are there and do not end in zeros.
func (f *heifFile) ended() error {
	var last [2]int64
	for _, i := range f.items {
		for _, e := range i.extents {
			if !i.inMeta && !i.odd && e[0]+e[1] > last[0]+last[1] {
				last = e
			}
		}
	}
	if end := last[0] + last[1]; end > f.src.Size() {
		return tooShort(f.src.Size(), end)
	}
	tail := make([]byte, min(last[1], tailBytes))
	if _, err := f.src.ReadAt(tail, last[0]+last[1]-int64(len(tail))); err != nil && err != io.EOF {
		return err
	}
	if len(tail) == tailBytes && allZero(tail) {
		return &Unended{"its end is missing: the last of its pictures is only zeros"}
	}
	return withoutHole(f.src, last[0]+last[1])
}
