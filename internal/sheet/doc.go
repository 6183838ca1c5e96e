// Package sheet plans how a print lies on its paper: which way round, where, and
// with what around it. It knows millimetres and no pixels of the picture; a
// [Layout] is plain values, to be shown, kept in the record and obeyed.
//
// # Paper
//
// A [Media] is a cut sheet or a roll as the printer takes it: so wide across the
// feed, so long along it, with a margin on each side that cannot be printed. The
// trailing margin of a cut sheet is the largest, for there the rollers let go. A
// print mode may add to one side.
//
// # Two frames
//
// As fed, x runs from the paper's left side to the right and y from its leading
// edge to the trailing one, from the corner where leading edge and left side
// meet. [New] answers in this frame.
//
// A picture that goes onto its paper only sideways lies there turned a quarter
// anticlockwise, its top to the left: what RFC 8011, section 5.2.10, calls
// landscape. [Layout.Upright] is the same layout seen with the picture upright: the
// paper turns and not the picture, so that a file can be made from the picture's own
// rows. The leading edge is on the right then.
//
// # What lies around a picture
//
// From the inside out, each a rectangle:
//
//	picture  the picture itself, never cropped or scaled here
//	ink      what is printed: the picture, with wrap and bleed made of its own edges
//	outer    what is left when the print is trimmed: with borders, or with the sides of a wrap
//	content  ink, marks and caption: all that takes ink
//
// Content must lie in the printable area. White need not: outer must only lie on the
// paper, so a border may use a margin that cannot be printed.
//
// # Centred on what
//
// Margins are seldom even, so that a print centred in the printable area is off the
// centre of the sheet. The plan has both, and says which was taken and how far
// apart they are. What cannot lie where it was asked for is moved by the least
// that helps, and that is said too.
package sheet
