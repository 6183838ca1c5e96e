package detail

import "sizewright/internal/photo"

// Measurement is what a picture's pixels say of its noise and softness. Noise
// is in encoded values of luma, 0..1; blur is in pixels of the picture.
type Measurement struct {
	// Noise is the standard deviation of luma in the calmest places of mid and
	// light tones (mean luma from 0.2 to 0.97); of the shadows, where mid and
	// light tones are too few. 0 if no place was fit to tell.
	Noise float64 `json:"noise"`

	// NoiseDark is the same for shadows (mean luma under 0.2); equal to Noise
	// where shadows are too few.
	NoiseDark float64 `json:"noise_dark"`

	// NoiseHalf and NoiseQuarter are what is left of Noise where the picture is
	// reduced to a half and to a quarter: as many parts of it where pixels' noise
	// is independent, more where demosaicing, denoising or JPEG have spread it.
	NoiseHalf    float64 `json:"noise_half,omitempty"`
	NoiseQuarter float64 `json:"noise_quarter,omitempty"`

	// Blur is the sigma, in pixels, of the Gaussian that best stands for the
	// softness of the sharpest tenth of the well-defined edges. 0 with Edges at
	// 0 is not known; 0 with edges is as sharp as pixels can be.
	Blur float64 `json:"blur_px"`

	// Edges is how many stretches of edge were fit to be measured, the sharpest
	// tenth of which give Blur; 0 if they were too few to tell.
	Edges int `json:"edges"`
}

// Measure measures a picture. The result depends on the picture alone, and the
// work hardly grows with it: at most 200 tiles are looked at. Any model will
// do; the luma of ink is a rough one (see tile.go).
func Measure(src *photo.Photo) Measurement {
	p := pageOf(src)
	tiles := readTiles(p)
	n := noiseOf(tiles, p.rounding)
	blur, edges := blurOf(tiles, n)
	return Measurement{Noise: n.light, NoiseDark: n.dark, NoiseHalf: n.half, NoiseQuarter: n.quarter, Blur: blur, Edges: edges}
}
