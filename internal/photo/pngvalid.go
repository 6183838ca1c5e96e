package photo

import (
	"errors"
	"fmt"
)

// The decoder passes over every chunk that it does not know, and paints black what
// has no entry in the palette. The PNG specification (third edition) asks for more.

// pngChunks is what was met of a PNG's chunks so far.
type pngChunks struct {
	count   int
	pixels  bool // IDAT was met
	after   bool // and then another chunk
	apart   bool // and then IDAT again
	palette int  // entries
	alphas  int  // entries of tRNS with a palette
	moving  bool // it is an animation
}

// meet takes the next chunk.
func (c *pngChunks) meet(name string, size int64) error {
	c.count++
	if !chunkName(name) {
		return damaged("is damaged: one of the PNG's chunks has no name", nil)
	}
	if (c.count == 1) != (name == "IHDR") {
		return errors.New("its header is not its first chunk, or not the only one")
	}
	switch name {
	case "IHDR", "IEND":
	case "IDAT":
		c.pixels, c.apart = true, c.apart || c.after
		return nil
	case "PLTE":
		c.palette = int(size / 3)
	case "tRNS":
		c.alphas = int(size)
	case "acTL":
		c.moving = true
	default:
		const ancillary = 0x20 // 5.4: a small first letter
		if name[0]&ancillary == 0 {
			return unsupported(fmt.Sprintf("is a PNG with a %s chunk, without which it cannot be understood and which is not known here", name), remedyExport)
		}
	}
	c.after = c.pixels
	return nil
}

// cautions say what the decoder passes over.
func (c *pngChunks) cautions(in *Info, paletted bool) {
	var odd []string
	if c.apart {
		odd = append(odd, "other chunks lie between those of its pixels")
	}
	if paletted && c.alphas > c.palette {
		odd = append(odd, "it has more alphas than colours")
	}
	if odd != nil {
		in.irregular(odd)
	}
	if c.moving {
		in.caution(CautionPages, "The PNG is an animation; only its still picture was read.")
	}
}

// checkPalette refuses pixels of colours that the palette does not have, which
// decoders paint black: 11.2.2 calls them an error.
func (c *pngChunks) checkPalette(used int) error {
	if used > max(c.palette, c.alphas) {
		return damaged(fmt.Sprintf("is damaged: some of its pixels have colour %d, and its palette ends before", used-1), nil)
	}
	return nil
}
