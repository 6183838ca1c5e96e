package colour

// Gamut is how far a picture's colours lie outside what a profile can hold:
// each colour is taken to the profile and back, media-relative colorimetric,
// and what was asked is compared with what was got by CIEDE2000.
type Gamut struct {
	Profile  string      `json:"profile"`          // by its description
	Measured int         `json:"pixels_measured"`  // an even lattice over the picture
	Beyond1  float64     `json:"share_beyond_1"`   // share of pixels, 0..1, that miss by more than 1 CIEDE2000
	Beyond3  float64     `json:"share_beyond_3"`   // by more than 3
	Beyond6  float64     `json:"share_beyond_6"`   // by more than 6
	Median   float64     `json:"median_of_misses"` // CIEDE2000 of the pixels beyond 1; 0 if none
	P95      float64     `json:"p95_of_misses"`
	Max      float64     `json:"max"`
	Regions  []Region    `json:"regions"`        // the worst few, worst first
	Spaces   []SpaceLoss `json:"working_spaces"` // what the standard working spaces would lose of this picture
}

// Region is a part of the picture that misses.
type Region struct {
	X      int     `json:"x_px"` // of the upright source picture
	Y      int     `json:"y_px"`
	Width  int     `json:"width_px"`
	Height int     `json:"height_px"`
	Share  float64 `json:"share"`   // of the picture's pixels, 0..1
	DeltaE float64 `json:"delta_e"` // mean CIEDE2000
	Asked  Lab     `json:"asked_lab"`
	Got    Lab     `json:"got_lab"`
	Hue    string  `json:"hue"`   // in plain words: "deep green"
	Loses  string  `json:"loses"` // what is lost most: "chroma", "lightness" or "hue"
	Text   string  `json:"text"`  // one sentence
}

// SpaceLoss is what a working space would lose of the picture.
type SpaceLoss struct {
	Space   string  `json:"space"`
	Beyond1 float64 `json:"share_beyond_1"`
	Beyond3 float64 `json:"share_beyond_3"`
	Beyond6 float64 `json:"share_beyond_6"`
	Max     float64 `json:"max"`
}
