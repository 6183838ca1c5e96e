package order

import (
	"sizewright/internal/config"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// A band is bounded in print pixels and in source pixels, so that memory stays
// flat as prints grow wider and as reductions grow stronger.
const (
	bandPixels   = 1 << 20
	sourcePixels = 1 << 19
)

// bands settles how many rows a band has, which is a strip of the file.
func (p *Plan) bands() {
	width, _ := p.Extent()
	rows := min(float64(bandPixels)/float64(width), sourcePixels*p.Scale.Y/float64(p.Picture.Width))
	p.File.BandRows = min(max(int(rows)/8*8, 8), 128)
}

// file settles the form of the file, and how large it can become.
func (p *Plan) file(info *photo.Info, s config.Settings) {
	p.File = PlanFile{File: render.File{Bits: s.Bits, Compression: s.Compression}, Dither: s.Bits == 8}
	p.bands()
	r := p.Recipe()
	if h, err := r.Header(info, p.Profiles); err == nil {
		p.File.MaxBytes = h.MaxBytes()
	}
}
