// Package ladder answers how large a picture can go, and how large it must be.
// Some pictures come alive only large, others lose nothing small, and a file's
// pixel count does not say which. [New] takes what a picture's pixels were found to
// hold (a [detail.Spectrum]) and what an eye sees (package eye) over a list of print
// sizes, the rungs. The answer is a value, the same for the same picture.
//
// # What is judged
//
// Fine detail is the finest two octaves that the picture has, from its true
// resolution down, as a spectrum's regions have it. Natural pictures have about the
// same contrast in every octave (D. J. Field, JOSA A 4, 1987), so both count about
// alike. Coarser octaves are seen at any size: of nine pictures of 6 to 20
// megapixels, five octaves would send eight to a postcard. In print, a band of f
// cycles per pixel is f times the pixels in a degree of angle, in cycles per degree, and
// the viewer's contrast sensitivity there says how much of its contrast is seen
// ([eye.Envelope.Sensation]). Detail seen is that contrast over all of it. What is
// finer than the printer's own pixels is not printed and so not seen; what ink and
// paper take is left out.
//
// A rung is judged from three distances: the usual one (one and a half diagonals
// of the print), the look distance (see [eye.LookDistance]) and the near point. At
// the usual distance, large prints all show the picture under the same angle, so
// size gives nothing; what it gives is on coming nearer. So the look distance
// decides:
//
//   - needs at least: the smallest rung that shows three quarters of the fine detail
//   - carries up to: the largest rung that does not look soft
//
// Where a distance is given, for a wall or by a folder, it stands for both: from there
// the print is seen, and judged. (Sharpening goes on to count on the look distance:
// whoever can, comes nearer.)
//
// A picture too small for its spectrum to be measured is judged by its pixels, as if
// it were a lively photograph that is sharp to the last of them.
//
// # Softness
//
// A print looks soft when the eye would see the octave just above the picture's
// true resolution, and it is not there. Its contrast is foretold: the slope of the
// picture's own spectrum is read from one to four octaves below the true resolution,
// where a soft lens says less, and goes on upwards. The slope is held to what
// natural pictures have (amplitude falls as f^-0.8 to f^-1.5: D. J. Tolhurst, Y. Tadmor
// and T. Chao, Ophthal. Physiol. Opt. 12, 1992, from memory), or a blurred picture
// would foretell nothing and be carried anywhere. Softness is how many times that
// contrast is above the viewer's threshold; 1 is just seen ([eye.Chance]).
//
// # From a file's numbers to contrast
//
// A spectrum has the standard deviation of encoded luma. At mid-grey (0.5), encoded
// with a gamma of 2.2, a change of luma is 2.2/0.5 = 4.4 times that change of relative
// luminance, which is also the Michelson contrast of so small a sine. The eye's own
// bands are about an octave wide (R. L. De Valois, D. G. Albrecht and L. G. Thorell,
// Vision Res. 22, 1982: 1.4 octaves in the median cell), so half an octave is seen with
// the contrast of the whole octave about it.
//
// A bird on a plain sky has its detail in a small part of the picture, and there
// it is stronger than the mean over the picture tells. The regions of the spectrum say
// how widely the detail is spread: with C their contrasts and n their number, it
// covers about (sum C)² / (n sum C²) of the picture.
//
// # What is house judgement
//
// The eye's numbers are published. House judgement is: two octaves; three
// quarters; the look distance; that sensitivity for detail in pictures is what it is
// for lone gratings; exponentially spread contrasts; and the octave that is missed. So
// the answer is an estimate, and says so.
package ladder
