// Package colour knows what a picture's numbers mean.
//
// A photograph's values are device values: they become colours only through an
// ICC profile. This package reads such profiles (the semantics come from
// github.com/kovidgoyal/imaging's pure-Go ICC pipelines, every panic
// contained), writes the few standard ones a picture without a profile needs,
// finds the tone curve that linear-light work asks for, and bakes a whole
// device-to-device chain into a [Grid] that a band of pixels can run through
// quickly.
//
// Device values are float32 in 0..1, one plane a channel: grey, RGB, or CMYK
// with 1 for full ink. The profile connection space is used as CIE XYZ with
// the D50 illuminant of ICC.1:2022, Y of the perfect diffuser being 1.
package colour

// D50 is the illuminant of the profile connection space, ICC.1:2022 7.2.16.
var D50 = [3]float64{0.9642, 1.0, 0.8249}
