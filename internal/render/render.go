// Package render makes the print's pixels.
//
// [WriteTIFF] makes the file from a [Recipe], a decoded photograph and the profiles of
// both. The recipe has every number that makes a pixel; package order decides them.
// This package uses no studio, configuration or clock. It also computes the responses
// of kernels and masks and the growth of noise, which package order needs for its
// decisions.
//
// A recipe is carried out in bands of some tens of output rows. Each band reads only
// the source rows that it needs and the halo of its kernels. It is then processed in
// tiles of a few hundred columns, which fit a core's own cache: each tile is resampled
// across and down, sharpened, and passed on for quantising and encoding. The steps are
// listed in bandSteps and tileSteps. The decoded source stays whole in memory and is
// shared; the print never exists whole. Any number of workers make bands, which are
// written in order. A band's pixels depend only on the source and the recipe, so the
// bytes are the same for any number of workers.
//
// Within a band pixels are planar float32: luma and the differences R-Y and B-Y of the
// picture's own encoded values, because nearly all processing is about lightness. A
// reduction stays in linear R, G and B until it has averaged them.
//
// Package vector has the loops over pixels.
package render

// step is one step in the processing of a band.
type step struct {
	name string
	do   func(*Renderer, *band)
}

// bandSteps are the steps for a band's source rows.
var bandSteps = []step{
	{"read", read},
	{"pre-sharpen", preSharpen},
	{"to scaling light", toScalingLight},
	{"resample down, reducing", downFirst},
	{"predict", predict},
}

// tileSteps are the steps that follow for each of its tiles.
var tileSteps = []step{
	{"resample across", across},
	{"bounds of the halo limit", limitHalos},
	{"resample down, enlarging", down},
	{"from scaling light", fromScalingLight},
	{"add what is predicted", addPredicted},
	{"sharpen", printSharpen},
	{"grain", addGrain},
	{"to the print's colours", toPrintColours},
}
