package detail

import "sizewright/internal/photo"

// Spectrum is where a picture's contrast lies. It is an estimate: what of a
// file is picture is house judgement (limit.go).
type Spectrum struct {
	// Bands begin with the finest: 12 of them, six octaves, where the shorter side
	// has 256 px; fewer in a smaller picture, and none under 32 px.
	Bands []Band `json:"bands"`

	// Resolution is the true resolution: the highest frequency that carries
	// picture rather than noise or nothing, as a share of the grid's 0.5 cycles
	// per pixel, 0 to 1 (linear, not area). A Gaussian blur of sigma pixels leaves
	// about 0.5/sigma. It is that of the sharpest places: see sharpest.go. Of a JPEG, no
	// more than the file stored: see blocks.go. 0 if the picture has nothing to tell.
	Resolution float64 `json:"resolution"`

	// Effective is how many megapixels would hold the picture: those it has,
	// times the square of Resolution.
	Effective float64 `json:"effective_mp"`

	// Enlarged is how many times the file was enlarged, 1.24 to 6, as the trace of
	// interpolation says; 1 where there is none, which does not prove that it was
	// not; and more of a picture whose pixels are plainly repeated. Resolution is no
	// more than its inverse.
	Enlarged float64 `json:"enlarged"`

	Columns int      `json:"columns"` // of regions
	Rows    int      `json:"rows"`
	Regions []Region `json:"regions"` // row by row from the top left
}

// MeasureSpectrum measures where the contrast of a picture lies; m is what
// [Measure] said of it. The result depends on the picture alone, whatever the
// number of processors. Any model will do; the luma of ink is a rough one.
func MeasureSpectrum(src *photo.Photo, m Measurement) *Spectrum {
	p := pageOf(src)
	side := squareSide(min(p.w, p.h))
	if side == 0 {
		return &Spectrum{Enlarged: 1}
	}
	s := surveyOf(p, side, true)
	f := floorOf(&s, noise{light: m.Noise, dark: m.NoiseDark}, p.rounding)
	enlarged := p.enlargement(&s)
	less := coarseOf(p, shakeReduction)
	resolution, fall, most := p.resolution(&s, f)
	if enlarged > 1 {
		resolution, most = p.reduced(enlarged).held().own()
		resolution, most = resolution/enlarged, most/enlarged
	}
	most = min(most, less.shakenTo())
	regions := regionsOf(&s, f, fall)
	for i := range regions {
		regions[i].Resolution = min(regions[i].Resolution, most)
	}
	resolution = min(resolution, most)
	return &Spectrum{
		Bands:      bandsOf(p.w, p.h, less, &s, f),
		Resolution: resolution,
		Effective:  float64(src.Width) * float64(src.Height) / 1e6 * resolution * resolution,
		Enlarged:   enlarged,
		Columns:    s.columns,
		Rows:       s.rows,
		Regions:    regions,
	}
}

// resolution is the true resolution of a page that was not enlarged, how the power of its sharpest
// places falls, and the most that a shake left.
func (p page) resolution(s *survey, f floor) (resolution, fall, shaken float64) {
	resolution, fall = p.sharpest(f, s.rings.n)
	shaken = shakenTo(s.shake(f, subjectOf(s, f)))
	return min(resolution, shaken), fall, shaken
}

// own is the same of a page by itself.
func (p page) own() (resolution, shaken float64) {
	side := squareSide(min(p.w, p.h))
	if side == 0 {
		return 1, 1
	}
	s := surveyOf(p, side, false)
	f := floorOf(&s, noiseOf(readTiles(p), p.rounding), p.rounding)
	resolution, _, shaken = p.resolution(&s, f)
	return resolution, shaken
}
