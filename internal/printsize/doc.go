// Package printsize turns the name of a drop folder into millimetres. A drop
// folder is its size: "A2", "24x36in", "50x70cm", "610x914mm", and after the
// size, if one likes, the stock it is printed on: "A4 lustre".
//
// It is the only package that reads a size; everything else holds a [Size].
// The grammar, after the name is tidied (lower case, single spaces, NFC, an
// underscore counting as a space):
//
//	folder = size [ "@" ppi ] [ separator stock ] [ crop ] [ "x" copies ]
//	size   = name | side times side | "square" side | side
//	name   = A0..A10 | B0..B10 | 2A0 | 4A0 | JIS B0..B6 | A3+ | Super B
//	       | Letter | Legal | Tabloid | ANSI C..E
//	side   = number unit | feet inches; the first of two may leave its unit out
//	times  = x | by | *
//	crop   = top | bottom | left | right | two of these | centre | auto
//	number = digits [ ("." | ",") one to four digits ]
//	unit   = in | ft | cm | mm | m, or spelt out, or its sign
//
// One side alone is the long side of the print. "24x36in@300" gives the folder its own
// resolution. "A4 lustre x3" asks for three copies. "A4 lustre top" fills the size and
// keeps the picture's top. Such words at the end are never a stock's.
//
// A size without a unit is refused rather than guessed: 24x36 is a wall piece
// in inches and a large postage stamp in millimetres.
//
// A size has no orientation of its own: 24x36in and 36x24in make the same
// print, lying or standing as the picture does. See [Size.Fit].
package printsize
