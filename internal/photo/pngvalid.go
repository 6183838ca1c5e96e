package photo

import (
	"errors"
	"fmt"
)

// The decoder ignores every chunk that it does not know, and paints pixels black that have
// no entry in the palette. The PNG specification (third edition) asks for more.

// pngChunks is what was read of a PNG's chunks so far.
type pngChunks struct {
	count   int
	pixels  bool // IDAT was read
	after   bool // and then another chunk
	apart   bool // and then IDAT again
	palette int  // entries
	alphas  int  // entries of tRNS with a palette
	moving  bool // it is an animation
}

// meet records and checks the next chunk.
func (c *pngChunks) meet(chunk pngChunk) error {
	c.count++
	if !chunk.named() {
		return damaged("is damaged: one of the PNG's chunks has no name", nil)
	}
	if (c.count == 1) != (chunk.name == "IHDR") {
		return errors.New("its header is not its first chunk, or not the only one")
	}
	switch chunk.name {
	case "IHDR", "IEND":
	case "IDAT":
		c.pixels, c.apart = true, c.apart || c.after
		return nil
	case "PLTE":
		c.palette = int(chunk.data.Size() / 3)
	case "tRNS":
		c.alphas = int(chunk.data.Size())
	case "acTL":
		c.moving = true
	default:
		const ancillary = 0x20 // 5.4: a small first letter
		if chunk.name[0]&ancillary == 0 {
			return unsupported(fmt.Sprintf("is a PNG with a %s chunk, which it cannot be read without and which is not known here", chunk.name), remedyExport)
		}
	}
	c.after = c.pixels
	return nil
}

// cautions says what the decoder ignores.
func (c *pngChunks) cautions(in *Info, paletted bool) {
	var odd []string
	if c.apart {
		odd = append(odd, "other chunks lie between those of its pixels")
	}
	if paletted && c.alphas > c.palette {
		odd = append(odd, "it has more alphas than colours")
	}
	in.irregular(odd...)
	if c.moving {
		in.caution(CautionPages, "The PNG is an animation; only its still picture was read.")
	}
}

// checkPalette refuses pixels of colours that the palette does not have. PNG, 11.2.2,
// calls them an error, and decoders paint them black.
func (c *pngChunks) checkPalette(used int) error {
	if used > max(c.palette, c.alphas) {
		return damaged(fmt.Sprintf("is damaged: some of its pixels have colour %d, which is beyond the end of its palette", used-1), nil)
	}
	return nil
}
