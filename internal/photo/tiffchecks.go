package photo

import (
	"errors"
	"fmt"

	"sizewright/internal/plural"
)

// These checks decide which sorts of TIFF are read. Any other sort is refused by its name.
// An unknown sort must never be read as a known one.

// layoutReader reads tags and keeps the first error.
type layoutReader struct {
	dir *directory
	err error
}

func (r *layoutReader) values(tag uint16) []uint64 {
	v, err := r.dir.uints(tag, maxSamples)
	if r.err == nil {
		r.err = err
	}
	return v
}

// value is a tag of one value, or missing if the tag is absent. A tag with no value or
// several was changed. To use the default instead would print noise.
func (r *layoutReader) value(tag uint16, missing uint64) uint64 {
	v := r.values(tag)
	if e, there := r.dir.entries[tag]; there && e.count != 1 && r.err == nil {
		r.err = errors.New("a tag of one value has none or several")
	}
	if len(v) > 0 {
		return v[0]
	}
	return missing
}

// tiffNotRead refuses a sort of TIFF.
func tiffNotRead(what string) error {
	return notRead(what, "export it as an 8 or 16-bit RGB or grey TIFF")
}

// checkKind refuses camera raw files that are TIFFs by their form, and previews.
func (r *layoutReader) checkKind() error {
	const (
		photometricCFA       = 32803
		photometricLinearRaw = 34892
	)
	reduced := r.value(tagNewSubfileType, 0)&1 != 0
	switch photometric := r.value(tagPhotometric, 0); {
	case r.dir.has(tagDNGVersion), photometric == photometricCFA, photometric == photometricLinearRaw,
		reduced && r.dir.has(tagSubIFDs):
		return rawFile()
	case reduced:
		return tiffNotRead("a TIFF whose first page is only a reduced preview")
	}
	return nil
}

// checkSamples refuses all but 8 and 16-bit unsigned whole numbers.
func (r *layoutReader) checkSamples(l *tiffLayout) error {
	const unsigned, undefined = 1, 4
	for _, format := range r.values(tagSampleFormat) {
		if format != unsigned && format != undefined {
			return tiffNotRead("a TIFF of floating-point or signed samples")
		}
	}
	bits := r.values(tagBitsPerSample)
	if len(bits) == 0 {
		bits = []uint64{1}
	}
	for _, b := range bits {
		if b != bits[0] {
			return tiffNotRead("a TIFF whose channels differ in depth")
		}
	}
	if bits[0] != 8 && bits[0] != 16 {
		return tiffNotRead(fmt.Sprintf("a %d-bit TIFF", bits[0]))
	}
	if l.samples < 1 || l.samples > maxSamples {
		return tiffNotRead("a TIFF of " + plural.Count(int64(l.samples), "channel", "channels"))
	}
	l.bits = int(bits[0])
	return nil
}

// readColour reads what the channels mean.
func (r *layoutReader) readColour(l *tiffLayout) error {
	const inkSetCMYK = 1
	switch photometric := r.value(tagPhotometric, ^uint64(0)); photometric {
	case 0:
		l.colours, l.minIsWhite = 1, true
	case 1:
		l.colours = 1
	case 2:
		l.colours = 3
	case 5:
		if r.value(tagInkSet, inkSetCMYK) != inkSetCMYK {
			return tiffNotRead("a TIFF of inks other than CMYK")
		}
		l.colours = 4
	case 3:
		return tiffNotRead("a TIFF with a colour palette")
	case 6:
		if l.compression != compressionJPEG || l.planar {
			return tiffNotRead("a TIFF of luma and chroma (YCbCr)")
		}
		l.colours, l.ycc = 3, true
		if err := r.checkYCbCr(); err != nil {
			return err
		}
	case 8, 9, 10:
		return tiffNotRead("a TIFF in CIELAB")
	default:
		return tiffNotRead("a TIFF of an unusual colour model")
	}
	if l.samples < l.colours {
		return errors.New("it has fewer channels than its colours need")
	}
	r.readExtra(l)
	return nil
}

// readExtra reads what the channels beyond the colours mean. Only the first of them can
// be the picture's own transparency.
func (r *layoutReader) readExtra(l *tiffLayout) {
	const associated, unassociated = 1, 2
	n := l.samples - l.colours
	if n == 0 {
		return
	}
	if meanings := r.values(tagExtraSamples); len(meanings) > 0 {
		l.associated = meanings[0] == associated
		l.alpha = l.associated || meanings[0] == unassociated
	}
	l.extra = n > 1 || !l.alpha
}

// checkCoding refuses compressions that are not read.
func (r *layoutReader) checkCoding(l *tiffLayout) error {
	switch l.compression {
	case compressionNone, compressionLZW, compressionDeflate, compressionOldDeflate, compressionPackBits, compressionZSTD:
	case compressionJPEG:
		if l.samples != l.colours || l.bits != 8 {
			return tiffNotRead("a TIFF with JPEG compression inside and channels beyond its colours, or more than 8 bits")
		}
	case 6:
		return tiffNotRead("a TIFF with JPEG compression of the old sort inside")
	default:
		return unsupported(fmt.Sprintf("is a TIFF of compression %d, which is not read here", l.compression),
			"export it with LZW, ZIP or no compression")
	}
	switch predictor := r.value(tagPredictor, 1); predictor {
	case 1:
	case 2: // TIFF 6.0, section 14, Adobe's supplement, and libtiff for ZSTD: the others have none
		l.predictor = l.compression != compressionNone && l.compression != compressionPackBits && l.compression != compressionJPEG
	default:
		return tiffNotRead(fmt.Sprintf("a TIFF of predictor %d", predictor))
	}
	if r.value(tagFillOrder, 1) != 1 {
		return tiffNotRead("a TIFF with its bits in reverse order")
	}
	return nil
}

func (r *layoutReader) readBlocks(l *tiffLayout) {
	l.tiled = r.dir.has(tagTileWidth)
	if l.tiled {
		l.blockW, l.blockH = int(r.value(tagTileWidth, 0)), int(r.value(tagTileLength, 0))
		return
	}
	rows := int(min(r.value(tagRowsPerStrip, 1<<32), 1<<32))
	l.blockW, l.blockH = l.width, min(rows, l.height)
}
