package main

import (
	"cmp"
	"math"
	"slices"

	"sizewright/internal/photo"
)

const (
	side     = 32     // px of a square
	inset    = 2      // px left out on each side, which may be affected by edges next to the square
	most     = 40     // greatest number of squares of a kind
	fewest   = 5      // least number of squares of a kind
	flattest = 0.0004 // of full scale; only painted or clipped areas are as flat
	black    = 0.004
	white    = 0.996
)

// The kinds of places.
const (
	shadow = iota
	sky
	skin
	light
	middle
	kinds
)

var kindNames = [kinds]string{"shadow", "sky", "skin-like", "light", "middle"}

// kindOf decides by the mean colour, encoded. A shadow's luma is under 0.25. A sky's is over
// 0.35, with more blue than red. Skin's is 0.3 to 0.85, with red above green above blue, as
// sand's and a wall's may be. Of the others, light ones are over 0.5.
func kindOf(rgb [3]float64) int {
	y := 0.299*rgb[0] + 0.587*rgb[1] + 0.114*rgb[2]
	switch {
	case y < 0.25:
		return shadow
	case y > 0.35 && rgb[2] > rgb[0]+0.02:
		return sky
	case y > 0.3 && y < 0.85 && rgb[0] > rgb[1]+0.03 && rgb[1] > rgb[2]:
		return skin
	case y > 0.5:
		return light
	}
	return middle
}

// place is a square of the photograph whose corner is x, y.
type place struct {
	x, y, kind int
	deviation  float64
	smooth     bool
}

// placesOf returns the calmest squares of each kind. Those up to a given deviation are smooth.
func placesOf(src *photo.Photo, smooth float64) (chosen []place) {
	var all [kinds][]place
	for y := 0; y+side <= src.Height; y += side {
		rows := readRows(src, y)
		for x := 0; x+side <= src.Width; x += side {
			if p, ok := placeAt(rows, x); ok {
				p.y = y
				all[p.kind] = append(all[p.kind], p)
			}
		}
	}
	for _, of := range all {
		slices.SortFunc(of, func(a, b place) int { return cmp.Compare(a.deviation, b.deviation) })
		calm := len(of) / 10
		n := min(calm, most)
		for i := range n {
			p := of[i*calm/n]
			p.smooth = p.deviation <= smooth
			chosen = append(chosen, p)
		}
	}
	return chosen
}

// readRows reads side rows from y on, three channels each.
func readRows(src *photo.Photo, y int) [][3][]float32 {
	rows := make([][3][]float32, side)
	for j := range rows {
		for c := range rows[j] {
			rows[j][c] = make([]float32, src.Width)
		}
		src.Row(y+j, rows[j][:src.Channels()])
		if src.Channels() == 1 {
			rows[j][1], rows[j][2] = rows[j][0], rows[j][0]
		}
	}
	return rows
}

func placeAt(rows [][3][]float32, x int) (p place, ok bool) {
	var rgb [3]float64
	v := make([]float64, 0, side*side)
	for _, row := range rows {
		for i := x; i < x+side; i++ {
			for c := range rgb {
				rgb[c] += float64(row[c][i]) / (side * side)
			}
			v = append(v, 0.299*float64(row[0][i])+0.587*float64(row[1][i])+0.114*float64(row[2][i]))
		}
	}
	if slices.Min(v) < black || slices.Max(v) > white {
		return p, false
	}
	p = place{x: x, kind: kindOf(rgb), deviation: math.Sqrt(variance(v, side))}
	return p, p.deviation > flattest
}

// luma returns the luma of interleaved pixels of 16 bits.
func luma(px []uint16, channels int) []float64 {
	v := make([]float64, len(px)/channels)
	for i := range v {
		at := px[i*channels:][:channels]
		v[i] = float64(at[0]) / 65535
		if channels == 3 {
			v[i] = (0.299*float64(at[0]) + 0.587*float64(at[1]) + 0.114*float64(at[2])) / 65535
		}
	}
	return v
}

// variance returns the variance about the best-fitting plane, of rows of w.
func variance(v []float64, w int) float64 {
	middleX, middleY := float64(w-1)/2, float64(len(v)/w-1)/2
	var s, sx, sy, xx, yy, ss float64
	for i, p := range v {
		x, y := float64(i%w)-middleX, float64(i/w)-middleY
		p -= v[0] // sums of small numbers lose fewer digits
		s, sx, sy = s+p, sx+x*p, sy+y*p
		xx, yy, ss = xx+x*x, yy+y*y, ss+p*p
	}
	n := float64(len(v))
	return max(0, ss-s*s/n-sx*sx/xx-sy*sy/yy) / (n - 3)
}
