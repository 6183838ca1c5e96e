package photo

import "io"

// Tags of TIFF 6.0 that describe the pixels, and a few of its successors.
const (
	tagNewSubfileType  = 254
	tagWidth           = 256
	tagLength          = 257
	tagBitsPerSample   = 258
	tagCompression     = 259
	tagPhotometric     = 262
	tagFillOrder       = 266
	tagStripOffsets    = 273
	tagSamplesPerPixel = 277
	tagRowsPerStrip    = 278
	tagStripByteCounts = 279
	tagPlanarConfig    = 284
	tagPredictor       = 317
	tagTileWidth       = 322
	tagTileLength      = 323
	tagTileOffsets     = 324
	tagTileByteCounts  = 325
	tagSubIFDs         = 330
	tagInkSet          = 332
	tagExtraSamples    = 338
	tagSampleFormat    = 339
	tagXMP             = 700
	tagIPTC            = 33723
	tagImageResources  = 34377 // of editors, with IPTC among them
	tagICCProfile      = 34675
	tagDNGVersion      = 50706
)

// identifyTIFF reads the first directory.
func identifyTIFF(in *Info, src *io.SectionReader, lim Limits) (decoder, error) {
	t, first, err := openTIFF(src, src.Size(), lim)
	if err != nil {
		return nil, err
	}
	dir, err := t.directory(first)
	if err != nil {
		return nil, err
	}
	l, err := readLayout(dir, lim)
	if err != nil {
		return nil, err
	}
	if l.compression == compressionJPEG {
		if err := l.readJPEGHeader(src, lim); err != nil {
			return nil, err
		}
		in.Subsampling = l.frame.subsampling()
	}
	in.checkReference(l)
	in.setEXIF(in.readEXIFFrom(dir, lim))
	in.setSize(l.width, l.height)
	in.Bits, in.Model = l.bits, modelOf(l.colours)
	in.setRoom(lim, l.demand(), l.held())
	packet, err := dir.bytes(tagXMP, lim.MaxEXIFBytes+1)
	in.readXMP(packet, err, lim)
	record, err := dir.raw(tagIPTC, lim.MaxEXIFBytes, typeByte, typeUndefined, typeLong, typeASCII)
	in.readIPTC(record, err, lim)
	if blocks, err := dir.bytes(tagImageResources, lim.MaxEXIFBytes); err == nil {
		in.readImageResources(blocks, lim)
	}
	if dir.has(tagICCProfile) {
		profile, err := dir.bytes(tagICCProfile, lim.MaxProfileBytes+1)
		in.setProfile(profile, err == nil && len(profile) > 0 && len(profile) <= lim.MaxProfileBytes)
	}
	if l.extra {
		in.caution(CautionChannels, "The TIFF has channels beyond its colours, such as saved selections; they were left out.")
	}
	in.cautionDirectory(dir)
	in.countPages(dir, first)
	return func(p *Photo) error { return p.decodeTIFF(l, src, lim) }, nil
}

// cautionDirectory says what is wrong with the directory itself. A tag whose number was
// changed is usually out of order.
func (in *Info) cautionDirectory(dir *directory) {
	var odd []string
	if dir.twice {
		odd = append(odd, "a tag comes twice with different values, of which the first counted")
	}
	if dir.mixed {
		odd = append(odd, "its tags are not in ascending order")
	}
	in.irregular(odd...)
}

// countPages cautions when there are further pages of full size. Previews and
// masks (TIFF 6.0, NewSubfileType bits 0 and 2) do not count.
func (in *Info) countPages(first *directory, at int64) {
	const previewOrMask = 1 | 4
	seen := map[int64]bool{at: true}
	for next := first.next; next != 0 && !seen[next]; {
		seen[next] = true
		page, err := first.tiffBytes.directory(next)
		if err != nil {
			in.irregular("what should follow its first page cannot be read")
			return
		}
		if kind, err := page.uint(tagNewSubfileType, 0); err == nil && kind&previewOrMask == 0 {
			in.caution(CautionPages, "The TIFF has more than one page; only the first was read.")
			return
		}
		next = page.next
	}
}
