package vector

import "fmt"

// Resampler resamples lines: output i is the sum over k < taps, in ascending k, of
// weight[i*taps+k] * src[first[i]+k]. It is computed once and used for every line; it
// is safe for concurrent use.
type Resampler struct {
	taps  int
	first []int32
	// Weights are stored in groups of eight outputs, tap by tap, as the wide loop reads
	// them: output i's weight k is at (i/8*taps+k)*8 + i%8.
	weight []float32
	near   bool // in every group, all outputs start within 7 samples of the first one's start
}

// group is how many outputs the wide loop computes at once.
const group = 8

// NewResampler copies its arguments. first must be non-negative and must not decrease;
// weight must have len(first)*taps values; taps must be at least 1. It panics
// otherwise.
//
// The wide loop needs the starts of eight neighbouring outputs to be within seven
// samples of each other, as they always are when enlarging. It accepts any number of
// taps; 2, 4, 6 and 8 are fastest.
func NewResampler(first []int32, weight []float32, taps int) *Resampler {
	if taps < 1 || len(weight) != len(first)*taps {
		panic(fmt.Sprintf("vector.NewResampler: %d outputs of %d taps do not have %d weights", len(first), taps, len(weight)))
	}
	groups := (len(first) + group - 1) / group
	s := &Resampler{taps: taps, first: append([]int32(nil), first...), weight: make([]float32, groups*taps*group), near: true}
	for i, f := range first {
		if f < 0 || i > 0 && f < first[i-1] {
			panic(fmt.Sprintf("vector.NewResampler: output %d begins at sample %d; beginnings must not fall or be negative", i, f))
		}
		if f-first[i-i%group] >= group {
			s.near = false
		}
		for k, w := range weight[i*taps:][:taps] {
			s.weight[s.at(i)+k*group] = w
		}
	}
	return s
}

// at returns the index of output i's first weight.
func (s *Resampler) at(i int) int { return i/group*s.taps*group + i%group }

// Line computes outputs [from, from+len(dst)) of the line src. It panics if src is too
// short for them. dst must not overlap src.
//
// It is fastest if from is a multiple of eight. The plain loop computes the last groups
// unless src has seven more samples than they need.
func (s *Resampler) Line(dst, src []float32, from int) {
	s.check(dst, src, from)
	head := min(-from&(group-1), len(dst))
	s.linePlain(dst[:head], src, from)
	dst, from = dst[head:], from+head
	wide := s.lineWide(dst, src, from)
	s.linePlain(dst[wide:], src, from+wide)
}

func (s *Resampler) check(dst, src []float32, from int) {
	to := from + len(dst)
	if from < 0 || to > len(s.first) {
		panic(fmt.Sprintf("vector.Resampler.Line: outputs %d to %d of a line of %d", from, to, len(s.first)))
	}
	if to > from {
		checkLen("Resampler.Line", "src", len(src), int(s.first[to-1])+s.taps)
	}
}

func (s *Resampler) linePlain(dst, src []float32, from int) {
	for i := range dst {
		dst[i] = s.one(src, from+i)
	}
}

// one computes output i.
func (s *Resampler) one(src []float32, i int) float32 {
	src = src[s.first[i]:][:s.taps]
	weight := s.weight[s.at(i):]
	sum := float32(weight[0] * src[0])
	for k, v := range src[1:] {
		sum += float32(weight[(k+1)*group] * v)
	}
	return sum
}
