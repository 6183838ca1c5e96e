package render

import (
	"fmt"
	"math"

	"sizewright/internal/colour"
	"sizewright/internal/detail"
	"sizewright/internal/photo"
)

// Place is a point of a picture that is worth looking at.
type Place struct {
	Name string
	Why  string  // the measurement by which it was chosen
	X, Y float64 // pixels of the upright picture
}

// CropPlaces returns the places a print's crops are cut from, by what was measured: the finest
// detail, a smooth change of tone, and what the paper misses most, if that was measured
// (g is not nil).
func CropPlaces(src *photo.Photo, s *detail.Spectrum, g *colour.Gamut) []Place {
	return withGamut(lookOver(src, s).places()[:2], g)
}

// StripPlaces returns the places to look at before a print is made: the [CropPlaces]
// and the deepest shadow.
func StripPlaces(src *photo.Photo, s *detail.Spectrum, g *colour.Gamut) []Place {
	return withGamut(lookOver(src, s).places(), g)
}

func withGamut(all []Place, g *colour.Gamut) []Place {
	if g == nil || len(g.Regions) == 0 {
		return all
	}
	r := g.Regions[0]
	return append(all, Place{"gamut", "misses the paper most: " + r.Text, float64(r.X) + float64(float64(r.Width)/2), float64(r.Y) + float64(float64(r.Height)/2)})
}

// overview is a picture in coarse cells, about overviewCells on its longer side.
type overview struct {
	columns, rows int
	width, height float64   // of a cell, source px
	mean, slope   []float64 // mean luma, and how evenly it changes
	detail        []float64
}

// overviewCells is the number of cells on the longer side.
const overviewCells = 24

func lookOver(src *photo.Photo, s *detail.Spectrum) *overview {
	g := &overview{columns: overviewCells, rows: max(1, overviewCells*src.Height/src.Width)}
	if src.Height > src.Width {
		g.rows, g.columns = overviewCells, max(1, overviewCells*src.Width/src.Height)
	}
	g.columns, g.rows = min(g.columns, src.Width), min(g.rows, src.Height)
	g.width, g.height = float64(src.Width)/float64(g.columns), float64(src.Height)/float64(g.rows)
	n := g.columns * g.rows
	g.mean, g.slope, g.detail = make([]float64, n), make([]float64, n), make([]float64, n)
	rows := make([][]float32, src.Channels())
	for c := range rows {
		rows[c] = make([]float32, src.Width)
	}
	for cell := range n {
		g.measure(src, rows, cell, s)
	}
	return g
}

// measure reads a few rows through the middle of a cell.
func (g *overview) measure(src *photo.Photo, rows [][]float32, cell int, s *detail.Spectrum) {
	const looked = 8
	i, j := cell%g.columns, cell/g.columns
	x0, x1 := int(float64(i)*g.width), int(float64(i+1)*g.width)
	sum, ends, rough, count := 0.0, 0.0, 0.0, 0.0
	for k := range looked {
		y := min(int((float64(j)+float64((float64(k)+0.5)/looked))*g.height), src.Height-1)
		src.Row(y, rows)
		last := lumaOf(rows, x0)
		first := last
		for x := x0; x < x1; x++ {
			v := lumaOf(rows, x)
			sum, rough, count = sum+v, rough+math.Abs(v-last), count+1
			last = v
		}
		ends += math.Abs(last - first)
	}
	g.mean[cell] = sum / max(count, 1)
	// A gradient changes far in small steps; noise and edges do not.
	g.slope[cell] = ends / looked / (0.02 + float64(rough/looked))
	if s != nil && s.Columns > 0 && s.Rows > 0 {
		r := s.Regions[min(j*s.Rows/g.rows, s.Rows-1)*s.Columns+min(i*s.Columns/g.columns, s.Columns-1)]
		g.detail[cell] = r.Contrast * r.Resolution
	}
}

// lumaOf returns the luma of one pixel of a row, roughly for CMYK.
func lumaOf(rows [][]float32, x int) float64 {
	switch len(rows) {
	case 1:
		return float64(rows[0][x])
	case 4:
		return (1 - (float64(rows[0][x])+float64(rows[1][x])+float64(rows[2][x]))/3) * (1 - float64(rows[3][x]))
	}
	return float64(0.299*float64(rows[0][x])) + float64(0.587*float64(rows[1][x])) + float64(0.114*float64(rows[2][x]))
}

func (g *overview) places() []Place {
	best := func(score func(cell int) float64) int {
		at, most := 0, math.Inf(-1)
		for cell := range g.mean {
			if v := score(cell); v > most {
				at, most = cell, v
			}
		}
		return at
	}
	finest := best(func(c int) float64 { return g.detail[c] })
	smooth := best(func(c int) float64 { return g.slope[c] })
	deep := best(func(c int) float64 { return -g.mean[c] })
	place := func(name, why string, cell int) Place {
		return Place{name, why, (float64(cell%g.columns) + 0.5) * g.width, (float64(cell/g.columns) + 0.5) * g.height}
	}
	return []Place{
		place("detail", "the finest detail that was measured", finest),
		place("gradient", "the smoothest change of tone: steps and noise show here first", smooth),
		place("shadow", fmt.Sprintf("the darkest place, with a mean luma of %.2f", g.mean[deep]), deep),
	}
}

// cutOut returns the square of at most that many print pixels a side around a place,
// within the print.
func (p *Recipe) cutOut(place Place, width, height int) (x, y, w, h int) {
	w, h = min(width, p.Print.Width), min(height, p.Print.Height)
	at := func(source, origin, scale float64, side, n int) int {
		return min(max(int((source-origin)*scale)-side/2, 0), n-side)
	}
	return at(place.X, p.Crop.X, p.Scale.X, w, p.Print.Width), at(place.Y, p.Crop.Y, p.Scale.Y, h, p.Print.Height), w, h
}
