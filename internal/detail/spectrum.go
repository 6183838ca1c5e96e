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
	// about 0.5/sigma. 0 if the picture has nothing to tell.
	Resolution float64 `json:"resolution"`

	// Effective is how many megapixels would hold the picture: those it has,
	// times the square of Resolution.
	Effective float64 `json:"effective_mp"`

	Columns int      `json:"columns"` // of regions
	Rows    int      `json:"rows"`
	Regions []Region `json:"regions"` // row by row from the top left
}

// MeasureSpectrum measures where the contrast of a picture lies; m is what
// [Measure] said of it. The result depends on the picture alone, whatever the
// number of processors. Any model will do; the luma of ink is a rough one.
func MeasureSpectrum(src *photo.Photo, m Measurement) *Spectrum {
	side := squareSide(min(src.Width, src.Height))
	if side == 0 {
		return &Spectrum{}
	}
	s := surveyOf(src, side)
	f := floorOf(&s, m, rounding(src))
	regions := regionsOf(&s, f)
	resolution := resolutionOf(&s, f, regions)
	return &Spectrum{
		Bands:      bandsOf(src, &s, f),
		Resolution: resolution,
		Effective:  float64(src.Width) * float64(src.Height) / 1e6 * resolution * resolution,
		Columns:    s.columns,
		Rows:       s.rows,
		Regions:    regions,
	}
}
