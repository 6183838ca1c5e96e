package photo

import (
	"errors"
	"fmt"

	"sizewright/internal/plural"
)

// maxSamples bounds the channels of a picture, and with them the tags of one value a
// channel.
const maxSamples = 32

// tiffLayout is how the pixels of the first page lie in the file.
type tiffLayout struct {
	dir           *directory
	width, height int
	bits          int // 8 or 16
	samples       int // of a pixel
	stored        int // of a pixel, in one strip or tile: all samples, or 1 if planar
	colours       int // the first samples: 1 grey, 3 RGB, 4 CMYK
	alpha         bool
	associated    bool // colours are already multiplied by alpha
	extra         bool // there are channels beyond colour and alpha
	minIsWhite    bool
	planar        bool // one channel after another (planar configuration 2)
	predictor     bool
	compression   uint64
	tiled         bool
	blockW        int // of a strip or tile, px
	blockH        int
	ycc           bool       // luma and chroma, in JPEGs
	frame         *jpegFrame // of the first strip or tile, if they are JPEGs
	tables        []byte     // what the JPEGs share
}

// readLayout reads how the page is stored. If it is of a sort that is not read here, the
// error names the sort. Defaults are those of TIFF 6.0.
func readLayout(dir *directory, lim Limits) (*tiffLayout, error) {
	r := layoutReader{dir: dir}
	if err := r.checkKind(); err != nil {
		return nil, err
	}
	l := &tiffLayout{
		dir:         dir,
		width:       int(r.value(tagWidth, 0)),
		height:      int(r.value(tagLength, 0)),
		samples:     int(r.value(tagSamplesPerPixel, 1)),
		compression: r.value(tagCompression, 1),
	}
	l.stored = l.samples
	switch planar := r.value(tagPlanarConfig, 1); planar {
	case 1:
	case 2:
		l.planar, l.stored = true, 1
	default:
		return nil, tiffNotRead(fmt.Sprintf("a TIFF of planar configuration %d", planar))
	}
	if err := r.checkSamples(l); err != nil {
		return nil, err
	}
	if err := r.readColour(l); err != nil {
		return nil, err
	}
	if err := r.checkCoding(l); err != nil {
		return nil, err
	}
	r.readBlocks(l)
	if r.err != nil {
		return nil, r.err
	}
	if err := lim.check(l.demand()); err != nil {
		return nil, err
	}
	return l, l.checkBlocks(lim)
}

func (l *tiffLayout) demand() demand {
	held := float64(l.held() * l.bits / 8)
	return demand{l.width, l.height, held, float64(l.samples * l.bits / 8), l.dir.size, held}
}

// held is the number of channels that are kept while decoding: the colours, and alpha
// until it is laid over white.
func (l *tiffLayout) held() int {
	if l.alpha {
		return l.colours + 1
	}
	return l.colours
}

// rowBytes is the bytes of one row of a strip or tile.
func (l *tiffLayout) rowBytes() int { return l.blockW * l.stored * l.bits / 8 }

// checkBlocks bounds the work that strips or tiles can ask for.
func (l *tiffLayout) checkBlocks(lim Limits) error {
	// A tile may reach past the picture's edge. One that is much larger than the
	// picture only costs time.
	const free, unit = 1024, 16
	roundUp := func(n int) int { return max(free, (n+unit-1)/unit*unit) }
	if l.blockW < 1 || l.blockH < 1 || l.tiled && (l.blockW > roundUp(l.width) || l.blockH > roundUp(l.height)) {
		return errors.New("its strips or tiles do not fit the picture")
	}
	if l.blocks() > lim.MaxBlocks {
		return wrong(TooLarge.With("open it in an editor and export it again"), nil,
			"is cut into more than %s", plural.Count(lim.MaxBlocks, "strip or tile", "strips or tiles"))
	}
	return nil
}

func (l *tiffLayout) across() int { return ceilDiv(l.width, l.blockW) }
func (l *tiffLayout) down() int   { return ceilDiv(l.height, l.blockH) }

// blocks is the number of strips or tiles of the whole page.
func (l *tiffLayout) blocks() int {
	n := l.across() * l.down()
	if l.planar {
		n *= l.samples
	}
	return n
}
