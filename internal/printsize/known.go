package printsize

import (
	"cmp"
	"slices"
)

// wellKnown names the rungs of the ladder: the ISO sizes from a postcard to the
// largest sheet, and the trade's inch sizes (common practice, no source).
var wellKnown = []string{
	"A6", "A5", "A4", "A3", "A3+", "A2", "A1", "A0",
	"4x6in", "5x7in", "8x10in", "8x12in", "11x14in", "12x18in", "16x20in",
	"16x24in", "20x24in", "20x30in", "24x36in", "30x40in", "40x60in",
}

// ladder is wellKnown, read and ascending by area.
var ladder = climb(wellKnown)

func climb(names []string) []Size {
	var sizes []Size
	for _, name := range names {
		size, err := ParseSize(name)
		if err != nil {
			panic(err) // the table above is wrong
		}
		sizes = append(sizes, size)
	}
	slices.SortFunc(sizes, func(a, b Size) int { return cmp.Compare(a.AreaMM2(), b.AreaMM2()) })
	return sizes
}

// Known returns the sizes that a print is usually made at, ascending by area:
// what is run through to say "the largest size it would carry". The slice is
// the caller's own.
func Known() []Size { return slices.Clone(ladder) }
