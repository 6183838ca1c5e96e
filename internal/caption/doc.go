// Package caption sets a line of text as pixels: the line beneath a print and the
// labels of a test strip.
//
// The font is Go Regular (Bigelow & Holmes, BSD licence), which comes as a Go
// module, so a caption has the same pixels on every machine. Its letters cover Latin, Greek
// and Cyrillic; a character it lacks is shown as its box for missing characters.
//
// # Heights
//
// A line is asked for by its whole height, from the top of the tallest letter to
// the bottom of the lowest. The em is as large as the font's ascent and descent
// allow in that height:
//
//	ascent + descent = height          the whole line
//	baseline         = ascent          from the top
//	cap height       = 0.63 of height  a capital, above the baseline
//
// [Heights] has the pixels.
package caption
