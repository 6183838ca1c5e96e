// Package demo paints the pictures that `sizewright demo` prints: salt-marsh scenes of an invented coast,
// generated so that no photographer's work, no real place and no real person is used.
//
// The scenario: Hester Quillfen and Bram Oddwater run a two-person print room in the town of Marrowick and
// prepare an exhibition, "Between Tides". Their pictures are typical of a print room's night: a large dawn
// for the wall, a saturated wide-gamut file, near-black shadows, one grey channel, a camera held upright,
// a file that lost its profile, a telephone crop sent to the largest size, and a copy cut short.
//
// # How a picture is painted
//
// A scene (scenes.go) turns a frame, which is only a width and a height, into a list of layers. Every
// length in a scene is in picture heights, so the same scene paints 6240x4160 pixels for the wall and
// 390x260 for a test. Layers are of two kinds: a field is a colour for each point (sky, water, mud); strokes
// are tapered curves with area coverage (grass, reeds, twigs, thousands of them, planted in perspective).
//
// render cuts the frame into square tiles, and each core takes the next tile and paints all the layers on
// it, in linear light and float32, with a rim wide enough for the lens. The camera (camera.go) then makes
// a photograph of it: a little lens softness, darker corners, shot noise, a film shoulder and the transfer
// curve of the picture's colour space. A tile depends on nothing but its place, so the same picture has the
// same bytes with one core or with sixty-four. (Across processor families they may differ in a last
// digit, where the compiler fuses a multiply and an add.)
//
// The files are then written with what a camera writes: EXIF, an ICC profile, and the segments and
// chunks that carry them in JPEG and PNG (files.go).
package demo

import (
	"sizewright/internal/colour"
)

// The people and the place, all invented.
const (
	hester = "Hester Quillfen"
	bram   = "Bram Oddwater"
	rights = "(c) 2025 Marrowick Print Room"
)

// A Picture is one generated photograph and the drop folder it is for. It is a value: nothing is painted until
// Write.
type Picture struct {
	Folder string // the drop folder, which is the print's size: "A3", "24x36in"
	Name   string // the file's name, with its suffix
	Title  string // as the exhibition's list has it
	Shows  string // in a sentence, what it is for and what such a file is like

	Width, Height int // pixels as stored

	scene   scene
	look    look
	shot    shot
	format  format
	profile func() []byte // nil for a file that lost its profile
	cut     bool          // the file stops at 60 % of its length
}

// format is how a picture is stored.
type format int

const (
	jpegRGB format = iota
	jpegGrey
	deepTIFF // 16 bits a sample
	deepPNG
)

// Pictures returns the set that `sizewright demo` prints.
func Pictures() []Picture {
	return []Picture{
		{
			Folder: "24x36in", Name: "long-creek-first-light.jpg", Title: "Long Creek, first light",
			Shows: "26 megapixels for the wall: fine grass, an even sky, and a good print at half the printer's resolution",
			Width: 6240, Height: 4160, scene: dawn(1), profile: colour.SRGBProfile,
			look: look{space: srgbSpace, exposure: 0.92, contrast: 1.08, noise: 0.012, vignette: 0.3, salt: 1},
			shot: shot{
				model: "Demo 26", lens: "Demo 24-70mm F4", artist: hester, taken: "2025:09:21 06:58:12",
				exposure: [2]uint32{1, 60}, fNumber: [2]uint32{11, 1}, focal: [2]uint32{28, 1}, focal35: 28, iso: 100,
			},
		},
		{
			Folder: "A2", Name: "flood-tide-after-sunset.jpg", Title: "Flood tide, after sunset",
			Shows: "a wide smooth gradient, which shows any banding, beside black hair lines, which show any halo",
			Width: 4288, Height: 2848, scene: dusk(1), profile: colour.SRGBProfile,
			look: look{space: srgbSpace, exposure: 1, contrast: 1.08, noise: 0.012, vignette: 0.3, salt: 2},
			shot: shot{
				model: "Demo 12", lens: "Demo 35mm F2", artist: bram, taken: "2025:10:04 18:49:40",
				exposure: [2]uint32{1, 15}, fNumber: [2]uint32{8, 1}, focal: [2]uint32{35, 1}, focal35: 35, iso: 200,
			},
		},
		{
			Folder: "A3", Name: "samphire-in-september.tif", Title: "Samphire in September",
			Shows: "16 bits in an RGB compatible with Adobe RGB (1998): its greens and brightest reds are beyond sRGB, and its reds and purples beyond most papers",
			Width: 3600, Height: 2400, scene: samphire(6), format: deepTIFF, profile: colour.A98Profile,
			look: look{space: a98Space, exposure: 1.15, contrast: 1.08, noise: 0.01, vignette: 0.25, salt: 3},
			shot: shot{
				model: "Demo 26", lens: "Demo 24-70mm F4", artist: hester, taken: "2025:09:14 17:31:05", wideGamut: true,
				exposure: [2]uint32{1, 125}, fNumber: [2]uint32{56, 10}, focal: [2]uint32{36, 1}, focal35: 36, iso: 100,
			},
		},
		{
			Folder: "A3", Name: "reed-and-whelk.png", Title: "Reed and whelk",
			Shows: "16 bits, most of it shadow: detail just above the paper's black, on a black ground",
			Width: 3000, Height: 2000, scene: stillLife(1), format: deepPNG, profile: colour.SRGBProfile,
			look: look{space: srgbSpace, exposure: 1.1, contrast: 1, noise: 0.006, vignette: 0.2, salt: 4},
			shot: shot{
				model: "Demo 26", lens: "Demo 90mm F2.8 Macro", artist: bram, taken: "2025:11:02 11:20:33",
				exposure: [2]uint32{1, 2}, fNumber: [2]uint32{16, 1}, focal: [2]uint32{90, 1}, focal35: 90, iso: 64,
			},
		},
		{
			Folder: "A3", Name: "jetty-in-fog.jpg", Title: "What is left of the jetty",
			Shows: "one grey channel with a grey profile: it must stay grey",
			Width: 3872, Height: 2592, scene: fog(4), format: jpegGrey, profile: colour.GreyProfile,
			look: look{space: srgbSpace, exposure: 0.9, contrast: 1.35, noise: 0.014, vignette: 0.3, salt: 5},
			shot: shot{
				model: "Demo 10 Mono", lens: "Demo 50mm F1.8", artist: hester, taken: "2025:11:16 08:12:51",
				exposure: [2]uint32{1, 250}, fNumber: [2]uint32{8, 1}, focal: [2]uint32{45, 1}, focal35: 45, iso: 200, grey: true,
			},
		},
		{
			Folder: "A4", Name: "channel-stakes.jpg", Title: "Channel stakes",
			Shows: "an upright picture from a camera held on its side: stored lying down, with EXIF orientation 6",
			Width: 3000, Height: 2000, scene: stakes(4), profile: colour.SRGBProfile,
			look: look{space: srgbSpace, exposure: 1, contrast: 1.05, noise: 0.012, vignette: 0.3, salt: 6},
			shot: shot{
				model: "Demo 26", lens: "Demo 24-70mm F4", artist: hester, taken: "2025:10:19 07:21:18", orientation: 6,
				exposure: [2]uint32{30, 1}, fNumber: [2]uint32{11, 1}, focal: [2]uint32{34, 1}, focal35: 34, iso: 64,
			},
		},
		{
			Folder: "A4", Name: "low-water.jpg", Title: "Low water",
			Shows: "deep browns and nothing but texture; the file has no colour profile, so sRGB is assumed, with a caution",
			Width: 3000, Height: 2000, scene: lowWater(4),
			look: look{space: srgbSpace, exposure: 1.25, contrast: 1.1, noise: 0.014, vignette: 0.3, salt: 7},
			shot: shot{
				model: "Demo 12", lens: "Demo 35mm F2", artist: bram, taken: "2025:10:19 13:40:02",
				exposure: [2]uint32{1, 200}, fNumber: [2]uint32{8, 1}, focal: [2]uint32{35, 1}, focal35: 35, iso: 100,
			},
		},
		{
			Folder: "40x60in", Name: "gull-tracks-telephone.jpg", Title: "Gull, walking",
			Shows: "a telephone's crop sent to the largest size: it carries a fifth of the detail needed, and is held",
			Width: 1200, Height: 800, scene: lowWater(3), profile: colour.SRGBProfile,
			look: look{space: srgbSpace, exposure: 1.2, contrast: 1.15, noise: 0.02, vignette: 0.1, salt: 8},
			shot: shot{
				model: "Demo Pocket", lens: "Demo Pocket 4.2mm F1.8", artist: bram, taken: "2025:10:19 13:44:57",
				exposure: [2]uint32{1, 480}, fNumber: [2]uint32{18, 10}, focal: [2]uint32{42, 10}, focal35: 26, iso: 50,
			},
		},
		{
			Folder: "A4", Name: "evening-copy-cut-short.jpg", Title: "Evening, from the sea wall",
			Shows: "a copy that stopped at 60 %: it cannot be read to its end, and is held",
			Width: 3000, Height: 2000, scene: dusk(2), profile: colour.SRGBProfile, cut: true,
			look: look{space: srgbSpace, exposure: 1, contrast: 1.08, noise: 0.012, vignette: 0.3, salt: 9},
			shot: shot{
				model: "Demo 12", lens: "Demo 35mm F2", artist: bram, taken: "2025:10:04 18:31:26",
				exposure: [2]uint32{1, 30}, fNumber: [2]uint32{8, 1}, focal: [2]uint32{35, 1}, focal35: 35, iso: 200,
			},
		},
	}
}

// Reduced returns the picture at 1/by of its width and height, for a quick look or a test; at least one pixel.
func (p Picture) Reduced(by int) Picture {
	p.Width, p.Height = max(p.Width/by, 1), max(p.Height/by, 1)
	return p
}

// full returns the shot with what all of them share.
func (p Picture) full() shot {
	s := p.shot
	s.maker, s.title, s.copyright = "Demo Camera", p.Title, rights
	s.orientation = max(s.orientation, 1)
	s.width, s.height = uint32(p.Width), uint32(p.Height)
	return s
}
