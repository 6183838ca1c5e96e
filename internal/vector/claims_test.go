package vector

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func near(t *testing.T, what string, got float32, want, within float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) <= within) {
		t.Errorf("%s is %v, want %v within %v", what, got, want, within)
	}
}

func TestASumOfRowsIsTheirWeightedSum(t *testing.T) {
	dst := make([]float32, 9)
	rows := [][]float32{{1, 2, 3, 4, 5, 6, 7, 8, 9}, {10, 20, 30, 40, 50, 60, 70, 80, 90}}
	WeightedSum(dst, rows, []float32{2, 0.5})
	if want := []float32{7, 14, 21, 28, 35, 42, 49, 56, 63}; !slices.Equal(dst, want) {
		t.Errorf("sums are %v, want %v", dst, want)
	}
	if WeightedSum(dst, nil, nil); slices.Max(dst) != 0 {
		t.Errorf("the sum of no rows is %v", dst)
	}
}

// A line computed at once equals the same line computed in tiles of any width, and both
// equal the formula.
func TestALineIsTheSameWhereverItsTilesAreCut(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	const n, taps = 300, 6
	first := make([]int32, n)
	for i := range first {
		first[i] = int32(float64(i) / 2.6)
	}
	weight := filled(heap{}, n*taps, loud(r))
	src := filled(heap{}, int(first[n-1])+taps, loud(r))
	s := NewResampler(first, weight, taps)
	whole := make([]float32, n)
	s.Line(whole, src, 0)
	for i, got := range whole {
		var sum float64
		for k := range taps {
			sum += float64(weight[i*taps+k]) * float64(src[int(first[i])+k])
		}
		near(t, "a sum", got, sum, 1e-5)
	}
	for range 200 {
		from := r.IntN(n)
		tile := make([]float32, r.IntN(n-from+1))
		if s.Line(tile, src, from); !slices.Equal(tile, whole[from:][:len(tile)]) {
			t.Fatalf("a tile of %d from %d differs from the line", len(tile), from)
		}
	}
}

// Suresh and Huynh 1997: a smooth extremum passes, a ripple beside an edge does not. Each
// line of four samples, the same in every row, bounds the values between its middle two.
func TestBoundsKeepCrestsAndCutRipples(t *testing.T) {
	for _, c := range []struct {
		what   string
		line   [4]float32
		reach  float32
		lo, hi float64
	}{
		{"a parabola's crest, an eighth of its bend high", [4]float32{0, 1, 1, 0}, 0.25, 1, 1.25},
		{"the same with the least reach", [4]float32{0, 1, 1, 0}, 0.125, 1, 1.125},
		{"the same with none", [4]float32{0, 1, 1, 0}, 0, 1, 1},
		{"a trough", [4]float32{1, 0, 0, 1}, 0.25, -0.25, 0},
		{"the bright side of an edge", [4]float32{0, 1, 1, 1}, 0.25, 1, 1},
		{"its dark side", [4]float32{0, 0, 0, 1}, 0.25, 0, 0},
		{"the edge itself", [4]float32{0, 0, 1, 1}, 0.25, 0, 1},
		{"a slope", [4]float32{0, 0.2, 0.4, 0.6}, 0.25, 0.2, 0.4},
	} {
		l := c.line
		across := [4][]float32{l[:], l[:], l[:], l[:]}
		down := [4][]float32{}
		for k := range down {
			down[k] = []float32{l[k], l[k], l[k], l[k]}
		}
		for _, rows := range [][4][]float32{across, down} {
			lo, hi := []float32{0}, []float32{0}
			Bounds(lo, hi, &rows, c.reach)
			near(t, c.what+", the lower bound", lo[0], c.lo, 1e-7)
			near(t, c.what+", the upper bound", hi[0], c.hi, 1e-7)
		}
	}
	// A peak with curvature in both directions may rise by the sum of both.
	hill := [4][]float32{{-2, -1, -1, -2}, {-1, 1, 1, -1}, {-1, 1, 1, -1}, {-2, -1, -1, -2}}
	lo, hi := []float32{0}, []float32{0}
	Bounds(lo, hi, &hill, 0.25)
	near(t, "a hill's lower bound", lo[0], 1, 1e-7)
	near(t, "a hill's upper bound", hi[0], 2, 1e-7)
}

// A mirrored, transposed or rotated picture must give the same print, so transformed.
func TestBoundsAreTheSameHoweverTheSamplesLie(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	turns := map[string]func(x, y int) (int, int){
		"mirrored":   func(x, y int) (int, int) { return 3 - x, y },
		"upended":    func(x, y int) (int, int) { return x, 3 - y },
		"transposed": func(x, y int) (int, int) { return y, x },
		"turned":     func(x, y int) (int, int) { return y, 3 - x },
	}
	for range 2000 {
		var rows [4][]float32
		for k := range rows {
			rows[k] = filled(heap{}, 4, loud(r))
		}
		lo, hi := []float32{0}, []float32{0}
		Bounds(lo, hi, &rows, 0.25)
		if lo[0] > hi[0] {
			t.Fatalf("%v are bounded by %v to %v", rows, lo[0], hi[0])
		}
		for what, to := range turns {
			other := [4][]float32{make([]float32, 4), make([]float32, 4), make([]float32, 4), make([]float32, 4)}
			for y := range 4 {
				for x := range 4 {
					tx, ty := to(x, y)
					other[ty][tx] = rows[y][x]
				}
			}
			low, high := []float32{0}, []float32{0}
			if Bounds(low, high, &other, 0.25); low[0] != lo[0] || high[0] != hi[0] {
				t.Fatalf("%v are bounded by %v to %v, %s by %v to %v", rows, lo[0], hi[0], what, low[0], high[0])
			}
		}
	}
}

func TestHoldingMixesTheBoundsOfTwoRows(t *testing.T) {
	dst := []float32{-1, 0.5, 2}
	ClampTo(dst, [2][]float32{{0, 0, 0}, {0.4, 0.4, 0.4}}, [2][]float32{{1, 1, 1}, {0.6, 0.6, 0.6}}, [2]float32{0.75, 0.25})
	for i, want := range []float64{0.1, 0.5, 0.9} {
		near(t, "a held value", dst[i], want, 1e-6)
	}
}

func TestTheCubicKeepsBlackMiddleAndWhiteAndRises(t *testing.T) {
	for _, k := range []float32{-2, -0.5, 0, 0.5, 1} {
		dst := make([]float32, 1025)
		for i := range dst {
			dst[i] = float32(i) / 1024
		}
		Cubic(dst, k)
		if dst[0] != 0 || dst[512] != 0.5 || dst[1024] != 1 {
			t.Errorf("k %v: black, middle and white are %v, %v, %v", k, dst[0], dst[512], dst[1024])
		}
		for i := range dst[1:] {
			if dst[i+1] < dst[i]-1e-7 {
				t.Fatalf("k %v falls from %v to %v", k, dst[i], dst[i+1])
			}
		}
		near(t, "a quarter", dst[256], 0.25+float64(k)*0.25*0.75*-0.5, 1e-6)
	}
	beyond := []float32{-0.3, 1.7}
	if Cubic(beyond, 0.5); beyond[0] != 0 || beyond[1] != 1 {
		t.Errorf("values beyond black and white become %v", beyond)
	}
}

func TestNeutralsStayNeutralToTheBit(t *testing.T) {
	n := 65536
	y, c1, c2 := make([]float32, n), make([]float32, n), make([]float32, n)
	for i := range y {
		y[i] = float32(i) / 65535
		c1[i], c2[i] = y[i], y[i]
	}
	before := slices.Clone(y)
	ToYCC(y, c1, c2)
	for i := range y {
		if y[i] != before[i] || c1[i] != 0 || c2[i] != 0 {
			t.Fatalf("grey %v is luma %v with differences %v, %v", before[i], y[i], c1[i], c2[i])
		}
	}
	ToRGB(y, c1, c2)
	for i := range y {
		if y[i] != before[i] || c1[i] != before[i] || c2[i] != before[i] {
			t.Fatalf("grey %v comes back as %v, %v, %v", before[i], y[i], c1[i], c2[i])
		}
	}
}

// ITU-R BT.601-7, 2.5.1: E'Y = 0.299 E'R + 0.587 E'G + 0.114 E'B.
func TestLumaIsBT601AndColoursComeBack(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	n := 1000
	red, green, blue := filled(heap{}, n, shares(r)), filled(heap{}, n, shares(r)), filled(heap{}, n, shares(r))
	y, c1, c2 := slices.Clone(red), slices.Clone(green), slices.Clone(blue)
	ToYCC(y, c1, c2)
	for i := range y {
		near(t, "luma", y[i], 0.299*float64(red[i])+0.587*float64(green[i])+0.114*float64(blue[i]), 2e-7)
		near(t, "red less luma", c1[i], float64(red[i])-float64(y[i]), 1e-7)
		near(t, "blue less luma", c2[i], float64(blue[i])-float64(y[i]), 1e-7)
	}
	ToRGB(y, c1, c2)
	for i := range y {
		near(t, "red", y[i], float64(red[i]), 4e-7)
		near(t, "green", c1[i], float64(green[i]), 4e-7)
		near(t, "blue", c2[i], float64(blue[i]), 4e-7)
	}
}

func TestSharpeningIsShapedAsItSays(t *testing.T) {
	open := SharpenOptions{Amount: 1, ShadowFrom: -1, ShadowPer: 1}
	with := func(change func(*SharpenOptions)) SharpenOptions { s := open; change(&s); return s }
	limit := with(func(s *SharpenOptions) { s.Limit = 0.02 })
	noise := with(func(s *SharpenOptions) { s.Noise = 0.01 })
	shadow := with(func(s *SharpenOptions) { s.ShadowFrom, s.ShadowPer = 0.1, 4 })
	for _, c := range []struct {
		what          string
		s             SharpenOptions
		luma, blurred float32
		change        float64
	}{
		{"unshaped, all of the difference", open, 0.5, 0.4, 0.1},
		{"twice the amount", with(func(s *SharpenOptions) { s.Amount = 2 }), 0.5, 0.4, 0.2},
		{"white is not passed", open, 0.95, 0.5, 0.05},
		{"nor black", open, 0.05, 0.5, -0.05},
		{"flat is left flat", open, 0.5, 0.5, 0},
		{"flat with coring", noise, 0.5, 0.5, 0},
		{"a tenth of the limit passes", limit, 0.502, 0.5, 0.002 / math.Sqrt(1.01)},
		{"much more comes near the limit", limit, 0.9, 0.4, 0.02 / math.Sqrt(1+0.02*0.02/0.25)},
		{"a change of the noise is halved", noise, 0.51, 0.5, 0.005},
		{"ten times the noise loses a hundredth", noise, 0.6, 0.5, 0.1 * 100 / 101},
		{"a deep shadow is left", shadow, 0.1, 0.05, 0},
		{"half up the ramp, half", shadow, 0.225, 0.205, 0.01},
		{"above it, all", shadow, 0.5, 0.48, 0.02},
	} {
		dst := make([]float32, 1)
		Sharpen(dst, []float32{c.luma}, []float32{c.blurred}, c.s)
		near(t, c.what, dst[0], float64(c.luma)+c.change, 2e-7)
	}
}

func TestAChangeNeverExceedsItsLimit(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	n := 4000
	luma, blurred, dst := filled(heap{}, n, shares(r)), filled(heap{}, n, shares(r)), make([]float32, n)
	Sharpen(dst, luma, blurred, SharpenOptions{Amount: 9, Limit: 0.03, Noise: 0.001, ShadowFrom: -1, ShadowPer: 1})
	for i, v := range dst {
		near(t, "a sharpened value", v, float64(luma[i]), 0.03+1e-7)
	}
}

func TestSamplesAreRoundedToTheNearestAndInterleaved(t *testing.T) {
	// Every 16-bit value survives, on each of the planes.
	n := 65536
	plane, back := make([]float32, n), make([]float32, n)
	for i := range plane {
		plane[i], back[n-1-i] = float32(i)/65535, float32(i)/65535
	}
	for count, planes := range map[int][][]float32{
		1: {plane}, 3: {plane, back, plane}, 4: {plane, plane, back, back},
	} {
		dst := make([]uint16, n*count)
		Interleave16(dst, planes...)
		for i, v := range dst {
			want := i / count
			if p := i % count; count == 3 && p == 1 || count == 4 && p >= 2 {
				want = n - 1 - want
			}
			if int(v) != want {
				t.Fatalf("%d planes: sample %d is %d, want %d", count, i, v, want)
			}
		}
	}
	dst := make([]uint16, 4)
	Interleave16(dst, []float32{0.49 / 65535, 0.51 / 65535, 1000.49 / 65535, 1000.51 / 65535})
	if want := []uint16{0, 1, 1000, 1001}; !slices.Equal(dst, want) {
		t.Errorf("rounded to %v, want %v", dst, want)
	}
}

// TIFF 6.0, section 14.
func TestDifferencesAddUpToTheRow(t *testing.T) {
	out := make([]byte, 8)
	Difference16(out, []uint16{0x0100, 0x00ff, 0xffff, 0x0000}, 1)
	if want := []byte{0x00, 0x01, 0xff, 0xff, 0x00, 0xff, 0x01, 0x00}; !slices.Equal(out, want) {
		t.Errorf("differences are % x, want % x", out, want)
	}
	r := rand.New(rand.NewPCG(6, 6))
	for _, step := range []int{1, 2, 3, 4, 7} {
		row := make([]uint16, 50*step)
		for i := range row {
			row[i] = uint16(r.Uint32())
		}
		out := make([]byte, 2*len(row))
		Difference16(out, row, step)
		sum := make([]uint16, len(row))
		for i := range sum {
			sum[i] = binary.LittleEndian.Uint16(out[2*i:])
			if i >= step {
				sum[i] += sum[i-step]
			}
		}
		if !slices.Equal(sum, row) {
			t.Errorf("step %d: the differences do not add up to the row", step)
		}
	}
}

func TestBytesAreScaledAndMoved(t *testing.T) {
	src, dst := make([]byte, 256), make([]float32, 256)
	for i := range src {
		src[i] = byte(i)
	}
	Bytes(dst, src, 1.0/255, -0.5)
	for i, v := range dst {
		near(t, "a sample", v, float64(i)/255-0.5, 1e-7)
	}
}

// The error of a parabola interpolated linearly in 64 steps is at most (1/64)²/4.
func TestLookupFollowsItsCurveAndHoldsToItsEnds(t *testing.T) {
	square := make([]float32, 65)
	for i := range square {
		square[i] = float32(i*i) / (64 * 64)
	}
	for i := -100; i <= 1100; i++ {
		v := float32(i) / 1000
		got := []float32{v, v, v, v, v, v, v, v, v}
		Lookup(got, square)
		want := min(max(v, 0), 1)
		want *= want
		for _, g := range got {
			if g != got[0] || g < want-1e-7 || g > want+1./(4*64*64)+1e-7 {
				t.Fatalf("%v becomes %v, want %v", v, got, want)
			}
		}
	}
}
