package order

import (
	"sizewright/internal/config"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// The size of a band is limited in print pixels and in source pixels, so memory does
// not grow with the print's width or with the reduction.
const (
	bandPixels   = 1 << 20
	sourcePixels = 1 << 19
)

// bands sets how many rows a band has. A band is one strip of the file.
func (p *Plan) bands() {
	width, _ := p.Extent()
	rows := min(float64(bandPixels)/float64(width), sourcePixels*p.Scale.Y/float64(p.Picture.Width))
	p.File.BandRows = min(max(int(rows)/8*8, 8), 128)
}

// file sets the form of the file and its greatest possible size.
func (p *Plan) file(info *photo.Info, s config.Settings) {
	p.File = PlanFile{File: render.File{Bits: s.Bits, Compression: s.Compression}, Dither: s.Bits == 8}
	p.bands()
	r := p.Recipe()
	if h, err := r.Header(info, p.Profiles); err == nil {
		p.File.MaxBytes = h.MaxBytes()
	}
}
