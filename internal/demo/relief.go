package demo

// A relief is a layer seen by the slopes of a surface. It measures the height of each pixel once and takes
// the slopes from neighbours. Both functions are asked row by row, as a field is.
type relief struct {
	height func(v float32) func(u float32) float32

	// shade is the light of a point of height h that rises by across to the right and by down towards the foot of
	// the picture, both per picture height.
	shade func(v float32) func(u, h, across, down float32) rgb
}

func (r relief) paint(t *tile) {
	px, wide := t.pixel(), t.tw+1 // one more column to the left, and one more row above
	heights := make([]float32, wide*(t.th+1))
	for y := range t.th + 1 {
		at := r.height((float32(t.y0+y) - 0.5) * px)
		for x := range wide {
			heights[y*wide+x] = at((float32(t.x0+x) - 0.5) * px)
		}
	}
	for y := range t.th {
		at := r.shade((float32(t.y0+y) + 0.5) * px)
		for x := range t.tw {
			i := (y+1)*wide + x + 1
			h := heights[i]
			across, down := (h-heights[i-1])/px, (h-heights[i-wide])/px
			t.pix[y*t.tw+x] = at((float32(t.x0+x)+0.5)*px, h, across, down)
		}
	}
}
