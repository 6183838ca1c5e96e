// Package demo paints the pictures that `sizewright demo` prints: salt-marsh scenes of an invented coast,
// made by arithmetic so that no photographer's work, no place and no person is borrowed.
//
// The scenario: Hester Quillfen and Bram Oddwater run a two-person print room in the town of Marrowick and
// prepare an exhibition, "Between Tides". Their pictures are what a print room meets in a night: a large dawn
// for the wall, a saturated wide-gamut file, near-black shadows, one grey channel, a camera held upright,
// a file that lost its profile, a telephone crop sent to the largest size, and a copy cut short.
//
// # How a picture is painted
//
// A scene (scene_*.go) turns a frame, which is only a width and a height, into a list of layers. Every
// length in a scene is in picture heights, so the same scene paints 6240x4160 pixels for the wall and
// 390x260 for a test. Layers are of two kinds: a field is a colour for each point (sky, water, mud); strokes
// are tapered curves with area coverage (grass, reeds, twigs, thousands of them, planted in perspective).
//
// render cuts the frame into square tiles, and each core takes the next tile and paints all the layers on
// it, in linear light and float32, with a rim wide enough for the lens. The camera (develop.go) then makes
// a photograph of it: a little lens softness, darker corners, shot noise, a film shoulder and the transfer
// curve of the picture's colour space. A tile depends on nothing but its place, so the same picture has the
// same bytes with one core or with sixty-four. (Across processor families they may differ in a last
// digit, where the compiler fuses a multiply and an add.)
//
// The files are then written with what a camera writes: EXIF (exif.go), an ICC profile, and the segments and
// chunks that carry them in JPEG and PNG (jpeg.go, png.go).
package demo
