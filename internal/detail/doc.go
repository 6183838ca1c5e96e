// Package detail finds out from a decoded picture alone how much real detail
// it holds: how noisy it is, how soft its sharpest edges are, and to which
// frequency it carries any picture. Printing well needs all three, and no file
// says any.
//
// # What is looked at
//
// A picture of 26 megapixels says the same in an eighth of its pixels, so
// [Measure] looks at a lattice of up to 200 tiles spread evenly over the
// upright picture (tile.go). It sees luma of encoded values only, as the
// sharpening does.
//
// # The trap of picking the least
//
// Noise must be read where there is no texture, and softness where the picture
// is in focus: each is the least of many readings. But the least of many
// uncertain readings is too small, for chance is picked along with truth. So
// every reading is made twice, from two halves of the same place; the places
// are picked by one half and read from the other, and then the other way about
// (halves.go). Chance in one half does not know of chance in the other.
//
// # Noise
//
// A smooth place is a plane over a few pixels, and what is left of it without
// that plane is noise (noise.go). The residual of a plane is preferred to the
// mask of J. Immerkaer, "Fast noise variance estimation", CVIU 64 (1996), which
// looks at the very finest grain alone: the noise of a camera's file is coarser
// than a pixel after demosaicing, and JPEG takes the finest part away first.
// What JPEG smoothed away is gone and is not reported; what it left is.
//
// # Softness
//
// Blur a step that has the width s once more, by a Gaussian of known width s0,
// and the slope at its middle falls by R = sqrt(s² + s0²)/s; so R tells s
// whatever the step's contrast: S. Zhuo and T. Sim, "Defocus map estimation
// from a single image", Pattern Recognition 44 (2011). The house reads R from
// the energy of the slope under a small window and not from one pixel (blur.go),
// since a sharp edge falls differently between the pixels each time. Edges
// must be strong, straight and alone to be read (edge.go).
//
// A pixel is the mean over its own area, and a slope is taken over several
// pixels; both widen every edge by a known variance, which is taken off again.
// So an ideal edge blurred by a Gaussian and then gathered by pixels is found
// at that Gaussian's sigma, and one not blurred at all at 0. An edge that a
// camera has sharpened is found sharper than its lens drew it: what is measured
// is the file.
//
// # Where the contrast lies
//
// [MeasureSpectrum] takes the Fourier transform of each of the tiles, under a
// window (transform.go). Tiles were preferred to a pyramid of oriented filters
// because a pyramid's octave is far too wide to find an end by. For waves too
// long for a tile the whole picture is averaged by eight (coarse.go). Noise is
// told from picture by how slowly it falls with frequency (floor.go).
//
// # Enlargement
//
// Interpolation leaves a copy of a picture's waves one pixel of the smaller grid's
// frequency further up, f and f - 1/s cycles per pixel after enlarging s times.
// The copy is weak, but a copy: its coherence with its original is near 1, which
// neither blur, noise nor sharpening changes, and in a picture that was not
// enlarged it is near 0 (lagged.go, repeats.go). A. C. Gallagher, "Detection of
// linear and cubic interpolation in JPEG compressed images", CRV 2005, and M.
// Kirchner, "Fast and reliable resampling detection by spectral analysis of fixed
// linear predictor residue", ACM MM&Sec 2008, look for the same trace, from memory.
// JPEG's blocks repeat too; which repeats are whose is enlarged.go's matter. A
// camera's colour filter leaves the trace of two, by chessboard (mosaic.go). The
// resolution is then read from the picture brought back to its own size
// (reduced.go).
//
// # True resolution
//
// A picture is as fine as its sharpest places, for the rest may be soft on purpose
// or have nothing to tell, as a sky. So it is cut into squares of 64 px, and the
// twentieth of them with the most power in the second difference is transformed
// (sharpest.go). A square ends where its power over the noise, all directions
// together, falls to an eighth of its own course: what it has just below, falling on
// as a picture's power does (D. J. Field, JOSA A 4 (1987); how fast is read from the
// long waves of the same squares). That counts, and not how much power is left, so that sharpening
// hardly matters (limit.go). At each frequency the upper quarter of the squares speaks for the
// picture. One that ends below some half of its grid is averaged by two and read again:
// what is soft is so seen in larger squares, and a picture and its reduction are
// read alike. What the filters before any grid take at its end is given back.
//
// Three things set a ceiling to this: an enlargement; a straight shake, which is
// plain by the zeros that it leaves at even distances (shake.go); and JPEG's blocks, whose
// edges have power at every frequency, but a transform over the blocks themselves
// does not see them: beyond the frequency from which it finds nothing stored, there
// is no picture (blocks.go).
//
// What it cannot tell: a fine limit under noise as strong as the picture there (0.02
// on a texture of 0.1 that ends at 0.8 of the grid), where all of the grid is found; a
// bent shake, or an oblique one of more than some 12 px; letters that were set sharp into a
// soft picture, which is then sharp somewhere; how soft a picture is whose own power falls oddly (15 % in most, see
// scripts/README.md). Where JPEG at quality 90 and under stored what was enlarged,
// the trace may be gone, and the fall of the spectrum alone is left to tell, which
// in a single photograph may mislead grossly. A JPEG of low quality that was
// reduced by 1.6 to 2 times may pass for enlarged, one in fifty. A picture that the
// camera enlarged (a telephone's zoom) was enlarged. Of a strong JPEG that was
// decoded and stored again in another form, or enlarged, the blocks are no longer
// known, and their edges may pass for detail.
package detail
