package detail

import (
	"math"
	"slices"
)

// House judgement, no source, chosen with crops of 27 photographs of Debian's
// wallpapers; see photographs_test.go. Strengths are coherences.
const (
	leastEnlarged = 1.24   // times: less is hardly told from blocks, and costs little
	mostEnlarged  = 6.0    // times
	clearly       = 5.0    // times what chance gives: a repeat
	clearlyStrong = 3.0    // the same, of a repeat as strong as
	strong        = 0.4    // this
	coherent      = 0.2    // strength of the repeat of an enlargement
	incoherent    = 1.5    // more is no coherence, but a single wave seen where it is not
	standsOut     = 1.3    // times the strength of repeats of another origin
	standsOutOdd  = 2.5    // the same, of a repeat that blocks have too, but the fourth
	fourthLeast   = 0.28   // strength of the fourth repeat of blocks, if it is a doubling's,
	likeFifth     = 0.97   // times the fifth it then has at least,
	overBeside    = 2.2    // and times the geometric mean of the third and the fifth
	overBoth      = 1.3    // or times both of them
	slowRival     = 0.1    // cycles per pixel: slower repeats are of no account
	apart         = 0.012  // cycles per pixel between repeats of two origins
	aligned       = 0.0025 // cycles per pixel between repeats of one grid
	block         = 8      // px: JPEG's blocks
	faintBlocks   = 0.05   // strength of an enlarged block's repeats
	beyondBlocks  = 0.6    // strength that no blocks reach
	besideBlocks  = 0.15   // share of a reduced block's repeat that its neighbours have
)

// both are a picture's repeats along its rows and its columns. An enlargement
// and a grid of blocks have the same both ways, a fence has not.
type both [2]repeats

// repeats are read from all tiles of a survey. They keep their places, so that
// what repeats from tile to tile adds up.
func (s *survey) repeats() (b both) {
	for d, along := range [2]span{s.across, s.down} {
		sums := make([][]float64, lags+1)
		for lag := range sums {
			sums[lag] = make([]float64, along.length)
		}
		for i, l := range s.lagged {
			from := along.at([2]int{i % s.columns, i / s.columns}[d])
			for lag := range sums {
				to := sums[lag][from:]
				for x, v := range l[d][lag*along.side:][:along.side] {
					to[x] += float64(v)
				}
			}
		}
		b[d] = repeatsOf(along.length, sums)
	}
	return b
}

// at is the geometric mean of the strengths both ways, and the lesser of the
// times of chance.
func (b both) at(f float64) (strength, over float64) {
	s0, o0 := b[0].near(f)
	s1, o1 := b[1].near(f)
	return math.Sqrt(s0 * s1), min(o0, o1)
}

// peaks are the frequencies of clear repeats, from the slowest.
func (b both) peaks() (f []float64) {
	r := b[0]
	if b[1].step < r.step {
		r = b[1]
	}
	for i := 2; i+2 < len(r.strength); i++ {
		v := r.strength[i-2 : i+3]
		if !isClear(v[2], r.over[i]) || v[2] < v[1] || v[2] <= v[3] || v[2] <= v[0] || v[2] <= v[4] {
			continue
		}
		at := (float64(i) + vertex(v[1], v[2], v[3])) * r.step
		if isClear(b.at(at)) {
			f = append(f, at)
		}
	}
	return f
}

func isClear(strength, over float64) bool {
	return over >= clearly || (strength >= strong && over >= clearlyStrong)
}

// vertex is where the parabola through three neighbours has its top, from the
// middle one.
func vertex(before, at, after float64) float64 {
	if bend := before - 2*at + after; bend < 0 {
		return (before - after) / (2 * bend)
	}
	return 0
}

// enlargedBy is how many times a picture was enlarged; 1 if there is no trace of
// it. Two traces are looked for: the interpolation's own, and JPEG's blocks in
// what was enlarged, which then are larger than eight pixels.
func enlargedBy(b both) float64 {
	peaks := b.peaks()
	interpolated, blocks := b.first(peaks, b.standsOut), b.first(peaks, b.hasEnlargedBlocks)
	if interpolated == 1 || (blocks > 1 && isBlock(1/interpolated, 1/blocks)) {
		return blocks
	}
	return interpolated
}

// first is the largest factor that something holds of; 1 if of none.
func (b both) first(peaks []float64, holds func(f float64, peaks []float64) bool) float64 {
	for _, f := range peaks {
		if f >= 1/mostEnlarged && f <= 1/leastEnlarged && holds(f, peaks) {
			return 1 / b.strongest(f, peaks)
		}
	}
	return 1
}

// strongest is the strongest of the peaks of one origin with f. Tiles lie at even
// distances, so what repeats in the picture is seen again, weaker, to either side.
func (b both) strongest(f float64, peaks []float64) float64 {
	best := f
	most, _ := b.at(f)
	for _, p := range peaks {
		if strength, _ := b.at(p); math.Abs(p-f) < apart && strength > most {
			best, most = p, strength
		}
	}
	return best
}

// standsOut reports whether repeats at f are strong, and much stronger than all
// that are of another origin.
func (b both) standsOut(f float64, peaks []float64) bool {
	strength, _ := b.at(f)
	if strength < coherent || strength > incoherent || b[0].isWave(f) || b[1].isWave(f) {
		return false
	}
	if b.hasReducedBlocks(f, strength) || (isBlock(f, 1) && !b.standsOutOfBlocks(f, strength)) {
		return false
	}
	if !related(0.5, f) && b.isDoubled() {
		return false
	}
	for _, other := range peaks {
		if other > slowRival && rivals(other, f) {
			if rival, _ := b.at(other); strength < standsOut*rival {
				return false
			}
		}
	}
	return true
}

// rivals reports whether another repeat is of another origin than an
// enlargement's at f. A JPEG's own blocks say nothing of what the JPEG holds.
func rivals(other, f float64) bool { return !isBlock(other, 1) && !related(other, f) }

// related reports whether another repeat is f, its double, or what the pixel grid makes
// of both.
func related(other, f float64) bool {
	for n := 1.0; n <= 2; n++ {
		at := math.Mod(n*f, 1)
		if math.Abs(other-at) < apart || math.Abs(other-(1-at)) < apart {
			return true
		}
	}
	return false
}

// isBlock reports whether a repeat is one of blocks enlarged 1/f times.
func isBlock(repeat, f float64) bool {
	return math.Abs(repeat-float64(math.Round(repeat*block/f)*f/block)) < aligned
}

// isDoubled reports whether the fourth repeat of a JPEG's blocks is more than theirs. In
// the band that a doubling leaves empty the rounding of stored coefficients is nearly all
// there is, so the fifth to the seventh are as strong as the doubling's own, and no measure
// of it. But blocks' repeats grow from the third on: of some 500 files as they are, soft,
// reduced or stored strongly one had a fourth like this, of 159 doubled ones at quality 92
// nearly nine in ten.
func (b both) isDoubled() bool {
	third, _ := b.at(3. / block)
	fourth, over := b.at(4. / block)
	fifth, _ := b.at(5. / block)
	if over < clearly || fourth < fourthLeast {
		return false
	}
	return (fourth >= likeFifth*fifth && fourth >= overBeside*math.Sqrt(third*fifth)) || fourth >= overBoth*max(third, fifth)
}

// standsOutOfBlocks is standsOut where a JPEG's own blocks repeat as well. Some
// of theirs are stronger than others; and of them, only enlarging to twice the
// size is common.
func (b both) standsOutOfBlocks(f, strength float64) bool {
	if math.Abs(f-0.5) <= apart && b.isDoubled() {
		return true
	}
	over := standsOut
	if math.Abs(f-0.5) > apart {
		over = standsOutOdd
	}
	for k := 1.0; k < block; k++ {
		if other := float64(k / block); other > slowRival && math.Abs(other-f) > apart {
			if rival, _ := b.at(other); strength < over*rival {
				return false
			}
		}
	}
	return true
}

// hasEnlargedBlocks reports whether blocks enlarged 1/f times are seen. Of their
// repeats the sixth to the ninth are those that are always there, with less
// between: a soft picture without noise repeats a little at every frequency.
func (b both) hasEnlargedBlocks(f float64, peaks []float64) bool {
	for k := 6.0; k <= 9 && f*k/block < fastest; k++ {
		member := float64(f * k / block)
		strength, _ := b.at(member)
		if strength < faintBlocks || strength > incoherent || !slices.ContainsFunc(peaks, func(p float64) bool { return math.Abs(p-member) < aligned }) {
			return false
		}
		for _, p := range peaks {
			if p < member+apart || p > member+float64(f/block)-apart {
				continue
			}
			if between, _ := b.at(p); strength < standsOut*between {
				return false
			}
		}
	}
	return true
}

// hasReducedBlocks reports whether f is one of the repeats of blocks of less
// than eight pixels, those of a JPEG that was reduced: those before and after it
// are there too.
func (b both) hasReducedBlocks(f, strength float64) bool {
	if strength >= beyondBlocks {
		return false
	}
	there := func(other float64) bool {
		beside, over := b.at(other)
		return other > fastest || (over >= clearly && beside >= besideBlocks*strength)
	}
	for k := 3.0; k < block*f; k++ {
		if there(f*(k-1)/k) && there(f*(k+1)/k) {
			return true
		}
	}
	return false
}
