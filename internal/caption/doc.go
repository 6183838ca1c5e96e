// Package caption draws a line of text as pixels: the line below a print and the labels
// of a test strip.
//
// The font is Go Regular (Bigelow & Holmes, BSD licence), from a Go module, so a
// caption has the same pixels on every machine. It covers Latin, Greek and Cyrillic;
// any other character is drawn as the font's box for missing characters.
//
// # Heights
//
// The height of a line is from the top of the tallest letter to the bottom of the
// lowest. The em is the largest for which the font's ascent and descent fit in that
// height:
//
//	ascent + descent = height          the whole line
//	baseline         = ascent          from the top
//	cap height       = 0.63 of height  a capital, above the baseline
package caption
