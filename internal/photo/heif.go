package photo

import (
	"bytes"
	"errors"
	"io"
	"slices"

	"sizewright/internal/hold"
)

// A HEIF (HEIC, AVIF) is a file of boxes (ISO/IEC 14496-12) with items (ISO/IEC 23008-12):
// the picture, often cut into the tiles of a grid, small pictures, gain maps, EXIF. This
// file reads what a plan needs. heifdecode.go has another program decode the pixels.

// NoDecoder is for a HEIF where no program is installed that decodes it.
var NoDecoder = hold.New("no-decoder", installDecoder+", and drop it again; or export it as a TIFF or JPEG")

const installDecoder = "install Debian's package libheif-examples (and libheif-plugin-libde265 and libheif-plugin-dav1d where Debian has them)"

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
	if f.coarse(picture, tiles) {
		in.Subsampling = "4:2:0"
	}
	perPixel := float64(4 * in.Bits / 8) // of the decoded picture, which comes as a PNG or smaller
	if err := lim.check(demand{in.Width, in.Height, 2 * perPixel, 3 * float64(in.Bits/8), src.Size(), 0}); err != nil {
		return nil, err
	}
	in.caution(CautionNoChecksum, "The "+in.Format+" has no checksum, so most bits that changed inside it cannot be found.")
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

// coarse reports whether a picture is 8 bits of luma with chroma of half the width and height,
// and nothing else, by all that says so: one changed bit must not mislead. The chroma's
// samples lie two by two under the picture's pixels, however it is turned.
func (f *heifFile) coarse(picture *heifItem, tiles []*heifItem) bool {
	if !slices.Contains([]string{"hvc1", "av01", "grid"}, picture.kind) || len(f.alphaOf(picture)) > 0 {
		return false
	}
	for _, i := range append(tiles, picture) {
		size, _ := i.trait("ispe")
		_, cut := i.trait("clap")
		r := size.read()
		r.full()
		if cut || r.number(4)%2 != 0 || r.number(4)%2 != 0 || r.err != nil {
			return false
		}
	}
	return !slices.ContainsFunc(tiles, func(i *heifItem) bool { return !i.coarse() })
}

// coarse is for one coded item: by the configuration of HEVC (ISO/IEC 14496-15, 8.3.2.1), of
// which the profiles 1 and 3 are of this sort alone; by that of AV1 and the box of depths.
func (i *heifItem) coarse() bool {
	if c, has := i.trait("hvcC"); has {
		return len(c.data) > 21 && (c.data[1]&31 == 1 || c.data[1]&31 == 3) && c.data[16]&3 == 1 && c.data[17]&7 == 0 && c.data[18]&7 == 0
	}
	c, _ := i.trait("av1C")
	depths, _ := i.trait("pixi")
	return len(c.data) > 2 && c.data[1]>>5 == 0 && c.data[2]&0x7c == 0x0c && bytes.HasSuffix(depths.data, []byte{3, 8, 8, 8})
}

// alphaOf are the coded items of a picture's alpha.
func (f *heifFile) alphaOf(picture *heifItem) (coded []*heifItem) {
	for _, aux := range f.about(picture, "auxl") {
		if of, _ := aux.trait("auxC"); bytes.Contains(of.data, []byte("alpha")) || bytes.Contains(of.data, []byte("auxid:1")) {
			coded = append(coded, f.tiles(aux)...)
		}
	}
	return coded
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
