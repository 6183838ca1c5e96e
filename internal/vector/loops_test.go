package vector

import (
	"fmt"
	"math/rand/v2"
	"slices"
)

// loop is one exported loop, for the tests of all loops.
type loop struct {
	name  string
	bytes int // bytes read and written per item, for benchmarks
	trial func(m memory, r *rand.Rand, n int) trial
}

// trial runs a loop and its plain half on the same random values, with separate results.
type trial struct {
	fast, plain func()
	differ      func() error
}

// pair holds the results of the two, equal at first.
type pair[T comparable] struct{ fast, plain []T }

func results(m memory, n int, fill func([]float32)) pair[float32] {
	p := pair[float32]{floats(m, n), floats(m, n)}
	fill(p.fast)
	copy(p.plain, p.fast)
	return p
}

func differ[T comparable](pairs ...pair[T]) func() error {
	return func() error {
		for j, p := range pairs {
			for i, v := range p.fast {
				if v != p.plain[i] { // 0 and -0 are equal
					return fmt.Errorf("result %d: item %d of %d is %v, by the plain loop %v", j, i, len(p.fast), v, p.plain[i])
				}
			}
		}
		return nil
	}
}

// loud returns values beyond 0..1 with runs of equal values; shares returns values in 0..1.
func loud(r *rand.Rand) func([]float32) {
	return func(row []float32) {
		for i := range row {
			switch r.IntN(6) {
			case 0:
				row[i] = float32(r.IntN(3) - 1)
			case 1:
				row[i] = row[max(i-1, 0)]
			default:
				row[i] = r.Float32()*3 - 1
			}
		}
	}
}

func shares(r *rand.Rand) func([]float32) {
	return func(row []float32) {
		for i := range row {
			row[i] = r.Float32()
			if r.IntN(8) == 0 {
				row[i] = float32(r.IntN(65536)) / 65535
			}
		}
	}
}

func filled(m memory, n int, fill func([]float32)) []float32 {
	row := floats(m, n)
	fill(row)
	return row
}

func loops() []loop {
	var all []loop
	for _, rows := range []int{1, 2, 4, 6, 17, 51, 64, 65} {
		all = append(all, weightedSumLoop(rows))
	}
	for _, taps := range []int{1, 2, 3, 4, 5, 6, 8, 11, 12} {
		all = append(all, resampleLoop(taps))
	}
	for _, planes := range []int{1, 2, 3, 4} {
		all = append(all, interleaveLoop(planes))
	}
	for _, step := range []int{1, 3, 4, 17} {
		all = append(all, differenceLoop(step))
	}
	return append(all, boundsLoop, clampToLoop, cubicLoop, lookupLoop, toYCCLoop, toRGBLoop, sharpenLoop, bytesLoop)
}

func weightedSumLoop(count int) loop {
	return loop{fmt.Sprintf("WeightedSum/%d", count), 4, func(m memory, r *rand.Rand, n int) trial {
		rows := make([][]float32, count)
		for k := range rows {
			rows[k] = filled(m, n, loud(r))
		}
		w, dst := filled(m, count, loud(r)), results(m, n, loud(r))
		return trial{
			func() { WeightedSum(dst.fast, rows, w) },
			func() { weightedSumPlain(dst.plain, rows, w, 0) },
			differ(dst),
		}
	}}
}

// resampleLoop computes part of a line that is enlarged, or sometimes reduced.
func resampleLoop(taps int) loop {
	return loop{fmt.Sprintf("Resampler.Line/%d", taps), 4, func(m memory, r *rand.Rand, n int) trial {
		from := r.IntN(20)
		total := from + n + r.IntN(20)
		step := []float64{0.24, 0.39, 0.97, 1, 1.8}[r.IntN(5)]
		if n > 1000 {
			step = 0.39 // a benchmark
		}
		first := make([]int32, total)
		for i := range first {
			first[i] = int32(float64(i)*step + r.Float64()*step)
		}
		slices.Sort(first)
		end := taps
		if from+n > 0 {
			end = int(first[from+n-1]) + taps
		}
		s := NewResampler(first, filled(heap{}, total*taps, loud(r)), taps)
		src, dst := filled(m, end+r.IntN(2)*r.IntN(20), loud(r)), results(m, n, loud(r))
		return trial{
			func() { s.Line(dst.fast, src, from) },
			func() { s.linePlain(dst.plain, src, from) },
			differ(dst),
		}
	}}
}

var boundsLoop = loop{"Bounds", 24, func(m memory, r *rand.Rand, n int) trial {
	var rows [4][]float32
	for k := range rows {
		rows[k] = filled(m, n+3, loud(r))
	}
	reach, lo, hi := 0.25*float32(r.IntN(4)), results(m, n, loud(r)), results(m, n, loud(r))
	return trial{
		func() { Bounds(lo.fast, hi.fast, &rows, reach) },
		func() { boundsPlain(lo.plain, hi.plain, &rows, reach/2, 0) },
		differ(lo, hi),
	}
}}

var clampToLoop = loop{"ClampTo", 24, func(m memory, r *rand.Rand, n int) trial {
	lo, hi := [2][]float32{}, [2][]float32{}
	for k := range lo {
		lo[k], hi[k] = filled(m, n, loud(r)), filled(m, n, loud(r))
	}
	share := r.Float32()
	w, dst := [2]float32{share, 1 - share}, results(m, n, loud(r))
	return trial{func() { ClampTo(dst.fast, lo, hi, w) }, func() { clampToPlain(dst.plain, lo, hi, w, 0) }, differ(dst)}
}}

var cubicLoop = loop{"Cubic", 8, func(m memory, r *rand.Rand, n int) trial {
	k, dst := r.Float32()*3-2, results(m, n, loud(r))
	return trial{func() { Cubic(dst.fast, k) }, func() { cubicPlain(dst.plain, k) }, differ(dst)}
}}

var lookupLoop = loop{"Lookup", 8, func(m memory, r *rand.Rand, n int) trial {
	table := filled(m, 2+r.IntN(300), loud(r))
	dst := results(m, n, loud(r))
	return trial{func() { Lookup(dst.fast, table) }, func() { lookupPlain(dst.plain, table) }, differ(dst)}
}}

var toYCCLoop = loop{"ToYCC", 24, func(m memory, r *rand.Rand, n int) trial {
	a, b, c := results(m, n, loud(r)), results(m, n, loud(r)), results(m, n, loud(r))
	return trial{
		func() { ToYCC(a.fast, b.fast, c.fast) },
		func() { toYCCPlain(a.plain, b.plain, c.plain) },
		differ(a, b, c),
	}
}}

var toRGBLoop = loop{"ToRGB", 24, func(m memory, r *rand.Rand, n int) trial {
	a, b, c := results(m, n, loud(r)), results(m, n, loud(r)), results(m, n, loud(r))
	return trial{
		func() { ToRGB(a.fast, b.fast, c.fast) },
		func() { toRGBPlain(a.plain, b.plain, c.plain) },
		differ(a, b, c),
	}
}}

// sharpenLoop puts the result over the luma, over the blur or in memory of its own.
var sharpenLoop = loop{"Sharpen", 12, func(m memory, r *rand.Rand, n int) trial {
	s := SharpenOptions{
		Amount: r.Float32() * 3, Limit: 0.05 * float32(r.IntN(3)), Noise: 0.01 * float32(r.IntN(3)),
		ShadowFrom: r.Float32() * 0.2, ShadowPer: 4 + 4*r.Float32(),
	}
	luma, blurred, dst := results(m, n, loud(r)), results(m, n, loud(r)), results(m, n, loud(r))
	switch r.IntN(3) {
	case 0:
		dst = luma
	case 1:
		dst = blurred
	}
	return trial{
		func() { Sharpen(dst.fast, luma.fast, blurred.fast, s) },
		func() { sharpenPlain(dst.plain, luma.plain, blurred.plain, s) },
		differ(dst),
	}
}}

func interleaveLoop(count int) loop {
	return loop{fmt.Sprintf("Interleave16/%d", count), 6 * count, func(m memory, r *rand.Rand, n int) trial {
		planes := make([][]float32, count)
		for p := range planes {
			planes[p] = filled(m, n, shares(r))
		}
		dst := pair[uint16]{items[uint16](m, n*count), items[uint16](m, n*count)}
		return trial{
			func() { Interleave16(dst.fast, planes...) },
			func() { interleave16Plain(dst.plain, planes, 0) },
			differ(dst),
		}
	}}
}

func differenceLoop(step int) loop {
	return loop{fmt.Sprintf("Difference16/%d", step), 4, func(m memory, r *rand.Rand, n int) trial {
		src := items[uint16](m, n)
		for i := range src {
			src[i] = uint16(r.Uint32())
		}
		dst := pair[byte]{items[byte](m, 2*n), items[byte](m, 2*n)}
		return trial{
			func() { Difference16(dst.fast, src, step) },
			func() { difference16Plain(dst.plain, src, step, 0) },
			differ(dst),
		}
	}}
}

var bytesLoop = loop{"Bytes", 5, func(m memory, r *rand.Rand, n int) trial {
	src := items[byte](m, n)
	for i := range src {
		src[i] = byte(r.Uint32())
	}
	scale, offset, dst := r.Float32()/255, r.Float32()-0.5, results(m, n, loud(r))
	return trial{
		func() { Bytes(dst.fast, src, scale, offset) },
		func() { bytesPlain(dst.plain, src, scale, offset) },
		differ(dst),
	}
}}
