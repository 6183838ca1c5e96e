package render

import (
	"math"

	"sizewright/internal/learned"
	"sizewright/internal/photo"
	"sizewright/internal/vector"
)

const (
	trialSide   = 192 // source px of a place
	trialAcross = 4   // places across, at most, and as many down
	shareSteps  = 64
)

// trialReductions are the ways in which a place is reduced: its source may be as sharp as
// its pixels, ring a little, or be soft.
var trialReductions = []Kernel{asIs, kernelNamed("catmull-rom"), kernelNamed("b-spline")}

// Tried is what a trial on a picture found.
type Tried struct {
	Learned
	Gain float64 `json:"gain"` // factor on the contrast of the finest detail, 1 or more
}

// Trial finds what a network may add to prints of a picture, by the picture itself: places
// all over it are reduced by the network's scale, enlarged again, and compared with
// themselves. The share is the one with the least squared error in the worst of three ways
// of reducing, from 0 to 1, rounded down; scale says how the kernel enlarges. The gain is
// that of second differences over a source pixel in the middles of the places, enlarged as
// they are; they hold most of what lies between a quarter and a half cycle a pixel.
func Trial(src *photo.Photo, net *learned.Network, scale Scale) Tried {
	sums := make([]trialSum, len(trialReductions))
	var finest trialGain
	rows := newTrialRows(src)
	tried := Tried{Learned{Weights: net.Digest}, 1}
	side := min(trialSide, src.Width, src.Height) / net.Scale * net.Scale
	if side < 8*net.Scale*3 { // nothing would be left inside the margins
		return tried
	}
	n := min(trialAcross, max(1, min(src.Width, src.Height)/side))
	for j := range n {
		for i := range n {
			x, y := middle(i, n, src.Width-side), middle(j, n, src.Height-side)
			truth := rows.cut(x, y, side)
			for k, reduction := range trialReductions {
				sums[k].add(truth, side, reduction, net, scale)
			}
			finest.add(rows.cut(x+side/4, y+side/4, side/2), side/2, net, scale)
		}
	}
	share := 1.0
	for _, s := range sums {
		share = min(share, s.share())
	}
	tried.Share = math.Floor(share*shareSteps) / shareSteps
	tried.Gain = math.Round(100*finest.of(tried.Share)) / 100
	return tried
}

// middle spreads n places evenly over room.
func middle(i, n, room int) int { return room * (2*i + 1) / (2 * n) }

// trialSum gathers what the kernel lacks against what the network predicts.
type trialSum struct{ both, predicted float64 }

func (s trialSum) share() float64 {
	if s.predicted == 0 {
		return 0
	}
	return min(max(s.both/s.predicted, 0), 1)
}

func (s *trialSum) add(truth []float32, side int, reduction Kernel, net *learned.Network, scale Scale) {
	small := side / net.Scale
	kernel, predicted := both(resize(truth, side, small, reduction), small, net, scale)
	margin := 8 * net.Scale // where the kernels see the place's end
	for y := margin; y < side-margin; y++ {
		for x := margin; x < side-margin; x++ {
			at := y*side + x
			r := float64(predicted[at]) / learned.Unit
			s.both += float64(float64(truth[at]-kernel[at]) * r)
			s.predicted += float64(r * r)
		}
	}
}

// both returns what the kernel makes of a square of luma, and what the network adds.
func both(luma []float32, side int, net *learned.Network, scale Scale) (kernel []float32, predicted []int16) {
	predicted = make([]int16, side*net.Scale*side*net.Scale)
	net.Residual(predicted, side*net.Scale, haloed(luma, side, net.Halo), side+2*net.Halo, side, side)
	return enlarged(luma, side, net.Scale, scale), predicted
}

// trialGain gathers the second differences of the kernel's result and of what the network
// predicts.
type trialGain struct{ kernel, both, predicted float64 }

func (g *trialGain) add(luma []float32, side int, net *learned.Network, scale Scale) {
	kernel, predicted := both(luma, side, net, scale)
	side *= net.Scale
	margin := min(8*net.Scale, side/4)
	for y := margin; y < side-margin; y++ {
		for x := margin; x < side-margin; x++ {
			for _, step := range []int{net.Scale, net.Scale * side} {
				at := y*side + x
				k := float64(2*kernel[at] - kernel[at-step] - kernel[at+step])
				r := float64(2*int(predicted[at])-int(predicted[at-step])-int(predicted[at+step])) / learned.Unit
				g.kernel += float64(k * k)
				g.both += float64(k * r)
				g.predicted += float64(r * r)
			}
		}
	}
}

// of returns the factor that a share of what is predicted makes, 1 at least.
func (g *trialGain) of(share float64) float64 {
	if g.kernel == 0 {
		return 1
	}
	more := share * (2*g.both + float64(share*g.predicted))
	return math.Sqrt(max(1, 1+more/g.kernel))
}

// resize resamples a square of luma from side n to side m.
func resize(pix []float32, n, m int, k Kernel) []float32 {
	a := newAxis(k, n, 0, float64(n), m)
	across := a.resampler(a.margin())
	lines := make([]float32, n*m)
	row := make([]float32, n+2*a.margin())
	for y := range n {
		copy(row[a.margin():], pix[y*n:][:n])
		level(row[:a.margin()], row, a.margin())
		level(row[a.margin()+n:], row, a.margin()+n-1)
		across.Line(lines[y*m:][:m], row, 0)
	}
	out := make([]float32, m*m)
	rows := make([][]float32, a.taps)
	for y := range m {
		for k := range rows {
			at := min(max(int(a.first[y])+k, 0), n-1)
			rows[k] = lines[at*m:][:m]
		}
		vector.WeightedSum(out[y*m:][:m], rows, a.weights(y))
	}
	return out
}

// enlarged makes of a square of luma what the recipe's kernel makes of it.
func enlarged(pix []float32, side, by int, scale Scale) []float32 {
	scale.Learned = Learned{}
	whole := side * by
	r := &Renderer{
		recipe: Recipe{
			Picture: Picture{side, side}, Crop: Rect{0, 0, float64(side), float64(side)},
			Print: Print{Width: whole, Height: whole}, Scale: scale,
		},
		src: &photo.Photo{Info: photo.Info{Width: side, Height: side, Model: photo.Grey}}, channels: 1, tile: whole,
	}
	r.axes()
	b := &band{bottom: whole, right: whole}
	b.source[0].shape(0, -r.margin, side, side+r.margin)
	for y := range side {
		copy(b.source[0].span(y, 0, side), pix[y*side:])
	}
	b.source[0].extend(0, side)
	for _, step := range []func(*Renderer, *band){toScalingLight, across, limitHalos, down, fromScalingLight} {
		step(r, b)
	}
	out := make([]float32, 0, whole*whole)
	for y := range whole {
		out = append(out, b.print[0].span(y, 0, whole)...)
	}
	return out
}

// haloed returns a square of luma in the network's unit, with its ends repeated.
func haloed(pix []float32, side, halo int) []int16 {
	wide := side + 2*halo
	out := make([]int16, wide*wide)
	for y := range wide {
		for x := range wide {
			v := pix[min(max(y-halo, 0), side-1)*side+min(max(x-halo, 0), side-1)]
			out[y*wide+x] = networkLuma(v)
		}
	}
	return out
}

func networkLuma(v float32) int16 { return int16(float32(learned.White*min(max(v, 0), 1)) + 0.5) }

// trialRows reads luma.
type trialRows struct {
	src *photo.Photo
	row [][]float32
}

func newTrialRows(src *photo.Photo) *trialRows {
	t := &trialRows{src: src, row: make([][]float32, src.Channels())}
	for c := range t.row {
		t.row[c] = make([]float32, src.Width)
	}
	return t
}

func (t *trialRows) cut(x, y, side int) []float32 {
	out := make([]float32, 0, side*side)
	for j := range side {
		t.src.Row(y+j, t.row)
		for i := range side {
			out = append(out, float32(lumaOf(t.row, x+i)))
		}
	}
	return out
}
