// Package caption draws a line of text as pixels: the line below a print and the labels
// of a test strip.
//
// The built-in font is Go Regular (Bigelow & Holmes, BSD licence), from a Go module, so a
// caption has the same pixels on every machine. It covers Latin, Greek and Cyrillic. A
// [Face] can be any other font; whoever draws with it is given its bytes. A character that
// a face lacks is drawn as its box for missing characters. So are the letters of scripts in
// which they are joined or change their order, in every face: letters are set one after
// another, with the font's kerning.
//
// # Heights
//
// The height of a line is from the top of the tallest letter to the bottom of the
// lowest. The em is the largest for which the font's ascent and descent fit in that
// height:
//
//	ascent + descent = height          the whole line
//	baseline         = ascent          from the top
//	cap height       = 0.63 of height  a capital above the baseline, in the built-in font
package caption
