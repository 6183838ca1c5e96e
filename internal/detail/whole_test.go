package detail

import (
	"math"
	"testing"
)

// enlarged is the page enlarged by a kernel and stored in 8 bits: row by row, so
// that only the rows that are looked at are made.
func (p page) enlarged(by float64, k kernel) page {
	w, h := int(float64(p.w)*by), int(float64(p.h)*by)
	across, down := k.weights(p.w, w, by), k.weights(p.h, h, by)
	return page{w, h, 1. / (255 * 255 * 12), func() rowReader {
		return rounded{&reducedReader{p.reader(), across, down, [][2]int{{0, w}}, make([]float32, p.w), make(map[int][]float32), nil}}
	}, nil}
}

// weights are how to pixels are made of from pixels, both centred alike. The edge
// of the picture goes on outside.
func (k kernel) weights(from, to int, by float64) []gathering {
	g := make([]gathering, to)
	for i := range g {
		at := (float64(i)+0.5)/by - 0.5
		lo, hi := int(math.Ceil(at-k.reach)), int(math.Floor(at+k.reach))
		inside := func(j int) int { return min(from-1, max(0, j)) }
		g[i] = gathering{inside(lo), make([]float32, inside(hi)-inside(lo)+1)}
		sum := 0.0
		for j := lo; j <= hi; j++ {
			sum += k.at(math.Abs(float64(j) - at))
		}
		for j := lo; j <= hi; j++ {
			g[i].weight[inside(j)-g[i].first] += float32(k.at(math.Abs(float64(j)-at)) / sum)
		}
	}
	return g
}

// rounded reads in whole steps of 8 bits, held to black and white.
type rounded struct{ from rowReader }

func (r rounded) read(y int, dst []float32) {
	r.from.read(y, dst)
	for x, v := range dst {
		dst[x] = float32(math.Round(255*float64(min(1, max(0, v)))) / 255)
	}
}

// read is a page's true resolution and how many times it was enlarged.
func (p page) read() (resolution, enlarged float64) {
	s := surveyOf(p, squareSide(min(p.w, p.h)), true)
	if by := p.enlargement(&s); by > 1 {
		resolution, _ = p.reduced(by).held().own()
		return resolution / by, by
	}
	resolution, _ = p.own()
	return resolution, 1
}

// Whole files of 4 megapixels, enlarged to 9, 16 and 37. The factor is held to 1 %.
// Resolution times the factor is held to what it was, by the kernel's bound
// (factorBounds: what a softer kernel took is lost resolution too). With ten photographs
// by all three kernels and all three factors, which take minutes, the factor was found in all of 90 when this was written, and the
// resolution in 84.
//
// Not claimed, of resolution alone: Grey and Kite by Mitchell
// (0.7 and 0.6 times what it was). Grey ends slowly; and what Kite has in the
// last third of its grid is its own JPEG's block edges. Left out are DarkestHour,
// of which nothing finer than 0.1 is told, and summer_1am, which is drawn and not
// photographed: it has hardly a texture, and of nine enlargements seven are not found.
func TestAWholePhotographIsReadAsItWas(t *testing.T) {
	names := []string{"Autumn", "ColorfulCups", "ColdRipple"}
	type enlargement struct {
		kernel string
		factor float64
	}
	enlargements := []enlargement{{"Lanczos", 1.5}, {"Mitchell", 2}, {"Catmull-Rom", 3}}
	pages := wallpaperPages(t, names)
	for i := range pages {
		pages[i].blocks = nil // which the enlarged picture has no more
	}
	inParallel(len(names), func() func(int) {
		return func(i int) {
			own, once := pages[i].read()
			if once != 1 {
				t.Errorf("%s as it is: taken for enlarged %.3f times", names[i], once)
			}
			by := enlargements[i]
			got, found := pages[i].enlarged(by.factor, kernels[by.kernel]).read()
			if off(found, by.factor) > 0.01 {
				t.Errorf("%s, %s, %v times: found %.3f times", names[i], by.kernel, by.factor, found)
			}
			if off(got*by.factor, own) > factorBounds[by.kernel] {
				t.Errorf("%s, %s, %v times: resolution %.3f, %.2f times what it was", names[i], by.kernel, by.factor, got, got*by.factor/own)
			}
		}
	})
}
