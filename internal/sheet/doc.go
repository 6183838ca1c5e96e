// Package sheet plans how a print lies on its paper: in which orientation, where, and
// with what around it. It works in millimetres and does not know the picture's pixels.
// A [Layout] is a plain value to be shown, recorded and followed.
//
// # Paper
//
// A [Media] is a cut sheet or a roll as fed to the printer: its width across the feed,
// its length along it, and on each side a margin that cannot be printed. The trailing
// margin of a cut sheet is the largest, because the rollers let go there. A print mode
// may add to one side.
//
// # Two frames
//
// As fed, x runs from the paper's left side to the right and y from its leading edge to
// the trailing one, from the corner where the leading edge and the left side meet. [New]
// uses this frame.
//
// A picture that fits its paper only sideways lies there turned a quarter turn
// anticlockwise, its top to the left, which RFC 8011, section 5.2.10, calls landscape.
// [Layout.Upright] returns the same layout with the picture upright and the paper turned
// instead, so that a file can be made from the picture's own rows. The leading edge is
// then on the right.
//
// # What is around a picture
//
// These rectangles, from the inside out:
//
//	picture  the picture itself, never cropped or scaled here
//	ink      what is printed: the picture, with wrap and bleed made of its own edges
//	outer    what is left after trimming, with borders or with the sides of a wrap
//	content  ink, marks and caption: everything that takes ink
//
// Content must be within the printable area. White need not: outer only has to be on the
// paper, so a border may use a margin that cannot be printed.
//
// # Centring
//
// Margins are seldom equal, so a print centred in the printable area is off the centre
// of the sheet. The layout has both positions; it says which was used and how far apart
// they are. A print that cannot lie where it was asked for is moved by the least that
// makes it fit, and the layout says so.
package sheet
