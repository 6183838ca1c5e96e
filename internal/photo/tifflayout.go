package photo

import (
	"errors"
	"fmt"

	"sizewright/internal/plural"
)

// maxSamples is more channels than any picture here has; it bounds the
// per-channel tags.
const maxSamples = 32

// tiffLayout is how the pixels of the first page lie in the file.
type tiffLayout struct {
	dir           *directory
	width, height int
	bits          int // 8 or 16
	samples       int // stored per pixel
	colours       int // of them, from the first: 1 grey, 3 RGB, 4 CMYK
	alpha         bool
	associated    bool // colours are already multiplied by alpha
	extra         bool // there are channels beyond colour and alpha
	minIsWhite    bool
	planar        bool // one channel after another (planar configuration 2)
	predictor     bool
	compression   uint32
	tiled         bool
	blockW        int // of a strip or tile, px
	blockH        int
}

// readLayout checks that the page is of a sort that is read here, and says
// what it is if not. Defaults are those of TIFF 6.0.
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
	switch planar := r.value(tagPlanarConfig, 1); planar {
	case 1, 2:
		l.planar = planar == 2
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
	// Planes, with alpha until it is laid over white.
	held := l.colours
	if l.alpha {
		held++
	}
	if err := lim.check(demand{l.width, l.height, float64(held * l.bits / 8), float64(l.samples * l.bits / 8), dir.size}); err != nil {
		return nil, err
	}
	return l, l.checkBlocks(lim)
}

func (l *tiffLayout) model() Model {
	switch l.colours {
	case 1:
		return Grey
	case 4:
		return CMYK
	}
	return RGB
}

// checkBlocks bounds the work that strips or tiles can ask for.
func (l *tiffLayout) checkBlocks(lim Limits) error {
	// A tile may reach past the picture, as the last of each row does, but one
	// much larger than the picture is there only to cost time.
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

func (l *tiffLayout) across() int { return (l.width + l.blockW - 1) / l.blockW }
func (l *tiffLayout) down() int   { return (l.height + l.blockH - 1) / l.blockH }

// blocks is the number of strips or tiles of the whole page.
func (l *tiffLayout) blocks() int {
	n := l.across() * l.down()
	if l.planar {
		n *= l.samples
	}
	return n
}
