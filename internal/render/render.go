// Package render makes the print's pixels.
//
// [WriteTIFF] takes a [Recipe], a decoded photograph and the profiles of both to the
// file. The recipe has every number that makes a pixel, and package order decides
// them; nothing here knows a studio, a configuration or a clock. What a decision asks
// of the same physics (a kernel's response, a mask's, the noise under it) is told here.
//
// A recipe is carried out in bands of some tens of output rows. Each band
// reads just the source rows it needs and the halo its kernels ask for, and goes
// on in tiles of a few hundred columns, which fit a core's own cache: each is
// resampled across and down, sharpened, and handed over for quantising and
// encoding. The road is two lists, bandSteps and tileSteps. The decoded source stays whole
// in memory and is shared; the print never exists whole. Bands are made by any
// number of workers and handed on in order, and a band's pixels depend on
// nothing but the source and the recipe, so the bytes are the same whoever made
// them.
//
// Inside a band pixels are planar float32: luma and the differences R-Y and
// B-Y of the picture's own encoded values, since nearly all that is done to them
// is done to lightness. A reduction goes as linear R, G and B until it has averaged
// them.
//
// The loops over pixels are those of package vector.
package render

// step is one stretch of a band's road.
type step struct {
	name string
	do   func(*Renderer, *band)
}

// bandSteps is the road of a band's source rows.
var bandSteps = []step{
	{"read", read},
	{"pre-sharpen", preSharpen},
	{"to scaling light", toScalingLight},
	{"resample down, reducing", downFirst},
}

// tileSteps is the road from there of each of its tiles.
var tileSteps = []step{
	{"resample across", across},
	{"bounds of the halo limit", limitHalos},
	{"resample down, enlarging", down},
	{"from scaling light", fromScalingLight},
	{"sharpen", printSharpen},
	{"grain", addGrain},
	{"to the print's colours", toPrintColours},
}
