// Package colour converts colours by ICC profiles and measures gamut.
//
// A photograph's values are device values; only an ICC profile says which colours they
// are. This package reads such profiles (with the pure-Go ICC pipelines of
// github.com/kovidgoyal/imaging, whose panics it turns into errors), writes the few
// standard profiles that a picture without a profile needs, and finds the tone curve
// for work in linear light. It bakes a whole device-to-device chain into a [grid] for
// fast conversion of bands of pixels.
//
// Device values are float32 in 0..1, one plane per channel: grey, RGB, or CMYK with 1
// for full ink. The profile connection space is used as CIE XYZ with the D50 illuminant
// of ICC.1:2022; Y of the perfect diffuser is 1.
package colour

// D50 is the illuminant of the profile connection space, ICC.1:2022 7.2.16.
var D50 = [3]float64{0.9642, 1.0, 0.8249}
