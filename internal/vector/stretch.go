package vector

import "fmt"

// Stretcher resamples lines: output i is the sum over k < taps, in rising k, of
// weight[i*taps+k] * src[first[i]+k]. It is worked out once and used for every
// line, by any number of goroutines.
type Stretcher struct {
	taps  int
	first []int32
	// Weights lie in groups of eight outputs, tap by tap, as the wide loop takes
	// them: output i's weight k is at (i/8*taps+k)*8 + i%8.
	weight []float32
	near   bool // in every group, outputs begin within 7 samples of the first
}

// group is how many outputs the wide loop makes at once.
const group = 8

// NewStretcher takes copies of first, which must not fall and not be negative,
// and weight, len(first)*taps of them, taps >= 1; it panics otherwise.
//
// The wide loop takes any number of taps, and those of 2, 4, 6 and 8 fastest, where
// eight neighbouring outputs begin within seven samples of each other: always so
// when enlarging.
func NewStretcher(first []int32, weight []float32, taps int) *Stretcher {
	if taps < 1 || len(weight) != len(first)*taps {
		panic(fmt.Sprintf("vector.NewStretcher: %d outputs of %d taps do not have %d weights", len(first), taps, len(weight)))
	}
	groups := (len(first) + group - 1) / group
	s := &Stretcher{taps: taps, first: append([]int32(nil), first...), weight: make([]float32, groups*taps*group), near: true}
	for i, f := range first {
		if f < 0 || i > 0 && f < first[i-1] {
			panic(fmt.Sprintf("vector.NewStretcher: output %d begins at sample %d; beginnings must not fall or be negative", i, f))
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

// at is where output i's first weight lies.
func (s *Stretcher) at(i int) int { return i/group*s.taps*group + i%group }

// Line makes outputs [from, from+len(dst)) of the line src, from any output on.
// It panics where src ends before the last output's last sample. dst must not
// overlap src.
//
// A from that is a multiple of eight is fastest. The last groups are made by the
// plain loop unless src goes on for seven samples after what they need.
func (s *Stretcher) Line(dst, src []float32, from int) {
	s.check(dst, src, from)
	head := min(-from&(group-1), len(dst))
	s.linePlain(dst[:head], src, from)
	dst, from = dst[head:], from+head
	wide := s.lineWide(dst, src, from)
	s.linePlain(dst[wide:], src, from+wide)
}

func (s *Stretcher) check(dst, src []float32, from int) {
	to := from + len(dst)
	if from < 0 || to > len(s.first) {
		panic(fmt.Sprintf("vector.Stretcher.Line: outputs %d to %d of a line of %d", from, to, len(s.first)))
	}
	if to > from {
		enough("Stretcher.Line", "src", len(src), int(s.first[to-1])+s.taps)
	}
}

func (s *Stretcher) linePlain(dst, src []float32, from int) {
	for i := range dst {
		dst[i] = s.one(src, from+i)
	}
}

// one is output i.
func (s *Stretcher) one(src []float32, i int) float32 {
	src = src[s.first[i]:][:s.taps]
	weight := s.weight[s.at(i):]
	sum := float32(weight[0] * src[0])
	for k, v := range src[1:] {
		sum += float32(weight[(k+1)*group] * v)
	}
	return sum
}
