// Package render makes the print's pixels.
//
// First comes a [Plan]: a plain value, made from what a photograph's header
// says and what its drop folder asks, with every decision in it (size in
// pixels, scale and kernel, sharpening, crop, colour, file, cautions, refusal)
// and no pixel touched. It can be printed, tested and compared.
//
// Then the plan is carried out in bands of some tens of output rows. Each band
// goes down one road, the list steps: it reads just the source rows it needs
// and the halo its kernels ask for, is resampled across and down, sharpened,
// and handed over for quantising and encoding. The decoded source stays whole
// in memory and is shared; the print never exists whole. Bands are made by any
// number of workers and handed on in order, and a band's pixels depend on
// nothing but the source and the plan, so the bytes are the same whoever made
// them.
//
// Inside a band pixels are planar float32. Values are the picture's own
// encoded values in 0..1, but between the steps "to linear light" and "from
// linear light" of a reduction.
package render

// step is one stretch of a band's road.
type step struct {
	name string
	do   func(*Renderer, *band)
}

// steps is the whole road of a band's pixels, in order.
var steps = []step{
	{"read", read},
	{"pre-sharpen", preSharpen},
	{"to linear light", toLinear},
	{"resample across", across},
	{"resample down", down},
	{"from linear light", fromLinear},
	{"output sharpen", outputSharpen},
	{"convert", convert},
}
