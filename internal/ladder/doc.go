// Package ladder says how large a picture can be printed, and how large it must be. A
// ladder is one picture at many print sizes, the rungs. [New] combines what a picture's
// pixels contain (a [detail.Spectrum]) with what an eye sees (package vision). The same
// picture always gives the same ladder.
//
// # What is judged
//
// Fine detail is the finest two octaves that the picture has, from its true resolution
// down, measured as for a spectrum's regions. Natural pictures have about the same
// contrast in every octave (D. J. Field, JOSA A 4, 1987), so both octaves count about
// the same. Coarser octaves are visible at any size: with five octaves, eight of nine
// pictures of 6 to 20 megapixels would be recommended as postcards.
//
// In print, a frequency in cycles per pixel times the pixels per degree of visual angle
// is a frequency in cycles per degree. The viewer's contrast sensitivity there gives
// the visible share of the contrast ([vision.Envelope.VisibleShare]). Detail seen is the
// visible contrast divided by all of it. Detail finer than the printer's pixels is not
// printed and so not seen. Losses from ink and paper are ignored.
//
// A rung is evaluated at three distances: the usual one (1.5 diagonals of the print),
// the look distance ([vision.LookDistance]) and the near point. At the usual distance all
// large prints fill the same visual angle, so size makes no difference. It does when
// the viewer comes nearer. So the look distance decides:
//
//   - needs at least: the smallest rung that shows three quarters of the fine detail
//   - carries up to: the largest rung that the file is not too small for
//
// If a distance is given, for a wall or by a folder, it replaces both the usual and the
// look distance. (Sharpening still uses the look distance, since people who can come
// nearer do.)
//
// A picture too small for its spectrum to be measured is judged by its pixel count, as
// a detailed photograph that is sharp at its full resolution.
//
// # Whether the file carries it
//
// A rung has the verdict that an order for it has, from the pixels and the detail
// ([vision.NewLevels], [vision.Counted]; package order has the model). How much of the detail
// is seen says how large a print should be, and the verdict how large it can be.
//
// # From pixel values to contrast
//
// A spectrum holds standard deviations of encoded luma. At mid-grey (0.5), encoded with
// a gamma of 2.2, a small change of luma is a change of 2.2/0.5 = 4.4 times that in
// relative luminance, which is also the Michelson contrast of a small sine wave. The
// eye's own channels are about an octave wide (R. L. De Valois, D. G. Albrecht and L.
// G. Thorell, Vision Res. 22, 1982: 1.4 octaves in the median cell), so half an octave
// is seen with the contrast of the whole octave around it.
//
// A bird on a plain sky has its detail in a small part of the picture, where it is
// stronger than the mean over the picture. The regions of the spectrum show how widely
// the detail is spread: with C their contrasts and n their number, it covers about (sum
// C)² / (n sum C²) of the picture.
//
// # House judgement
//
// The figures for the eye are published. These are house judgement: two octaves; three
// quarters; the look distance; the same sensitivity for detail in pictures as for
// single gratings; and exponentially distributed contrasts. So the
// answer is an estimate, and says so.
package ladder
