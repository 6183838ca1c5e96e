package detail

import (
	"math"

	"sizewright/internal/exact"
)

// House judgement, no source, chosen with ten photographs of Debian's wallpapers
// moved by 3 to 45 px along rows, columns and a diagonal; see shake_test.go.
const (
	shortest    = 2.8  // px: of less the first zero is too near the grid's end
	leastShake  = 2.9  // px: a comb that fits a shorter path better is none
	mostShake   = 30.0 // px: of more the zeros lie too near to each other for a tile
	shakeStep   = 1.02 // from one length that is tried to the next
	directions  = 16   // that are tried
	combTiles   = 4    // tiles of the subject: fewer tell no comb
	combZeros   = 5    // of a comb that are looked at
	combAround  = 0.35 // of a zero's distance to the next that must be seen beyond it
	combFloor   = 0.1  // of the floor: least that is picture
	lobeFloor   = 0.25 // of the floor: least that the lobe beyond the first zero has, where a band's end has noise alone
	combBlunt   = 0.3  // of the floor, that is left in so that a zero has a logarithm
	combDepth   = 0.45 // least amplitude of the comb; without noise it would be 2
	shortDepth  = 1.0  // the same of shakes up to shortShake, of which one zero is in sight
	shortShake  = 4.5  // px
	longShake   = 6.0  // px of the averaged picture: a shorter one is told by the picture itself
	middleDepth = 0.8  // the same up to middleShake
	middleShake = 6.0  // px
	combPart    = 0.6  // of what a smooth course leaves unexplained, the comb leaves no more
	firstZero   = 0.15 // of the power to either side that is left at the first zero
	secondZero  = 0.4  // and at the second
	shakeFirst  = 6    // ring, from which least noise is looked for
	shakenShare = 0.8  // of the first zero: where a shaken picture ends, as limit.go finds a shaken field to
)

// shake is the length, in pixels, of the path that a picture's subject was shaken
// along; 0 if there is no trace of one.
//
// A shake is the mean over a straight path. Of a wave of f cycles per pixel along
// it, a path of L pixels leaves sin(pi f L)/(pi f L): nothing at every multiple of
// 1/L, lobes between, and the envelope falls no faster than a picture's own power,
// so that the lobes pass for picture. But a comb of zeros at even distances from
// the origin is no texture's. It is a negative peak at L in the cepstrum, the
// transform of the logarithm of power: M. Cannon, "Blind deconvolution of spatially
// invariant image blurs with phase", IEEE Trans. ASSP 24 (1976), from memory. Here
// the course of the power is taken off first, as in raised, by a parabola over the
// logarithm of frequency; and the first zeros must truly be empty, where ripples
// have as much between their harmonics as they have anywhere.
//
// Straight and even paths of 3 to 120 px are found along the rows, the columns and the
// diagonals, those over 30 px in the picture averaged by four; at other angles those to
// some 12 px, since the directions tried lie 11 degrees apart. A bent path has
// no zeros; there the fall alone tells (direction.go).
func (s *survey) shake(f floor, subject []int) (length float64) {
	if len(subject) < combTiles || s.rings.n < tileSide {
		return 0
	}
	power, under := s.meanPlane(f, subject)
	for d := range directions {
		length = max(length, s.rings.along(math.Pi*float64(d)/directions, power, under).shake())
	}
	return length
}

// shakenTo is the frequency, as a share of the grid's highest, to which a shake of
// that length left a picture.
func shakenTo(length float64) float64 {
	return min(1, shakenShare*2/max(length, math.SmallestNonzeroFloat64))
}

// shakenTo is the same of a shake too long for a picture's own tiles. A short one
// is told by those.
func (c coarse) shakenTo() float64 {
	p := c.page()
	side := squareSide(min(p.w, p.h))
	if side < tileSide {
		return 1
	}
	s := surveyOf(p, side, false)
	f := floorOf(&s, noiseOf(readTiles(p), p.rounding), p.rounding)
	length := s.shake(f, subjectOf(&s, f))
	if length < longShake {
		return 1
	}
	return shakenTo(length * float64(c.reduction))
}

// meanPlane is the mean power of tiles by coefficient, each tile with one voice, and the
// floor under it by ring. Of a shaken picture the floor is often read too low, since the
// other directions fall as a picture's do; but noise has no direction and hardly falls,
// so it is no less than the least that is found anywhere.
func (s *survey) meanPlane(f floor, tiles []int) (power, under []float64) {
	power, under = make([]float64, len(s.rings.at)), make([]float64, s.rings.rings())
	for _, i := range tiles {
		t, voice := &s.tiles[i], 1/s.weigh(i, f, 2)
		for at, v := range t.plane {
			power[at] += float64(voice * float64(v))
		}
		for r, v := range f.ring {
			under[r] += float64(voice * f.under(t) * v)
		}
	}
	least := s.rings.least(power)
	for r := range under {
		under[r] = max(under[r], least)
	}
	return power, under
}

// least is the least mean power of a ring's sector.
func (m *ringMap) least(power []float64) float64 {
	sum := make([]float64, len(m.count))
	for i, at := range m.at {
		if at >= 0 {
			sum[at] += power[i]
		}
	}
	least := math.Inf(1)
	for at := shakeFirst * sectors; at < len(sum); at++ {
		least = min(least, sum[at]/max(1, m.count[at]))
	}
	return least
}

// course is power times the square of frequency by the frequency along a direction,
// in cycles per tile, whatever it is across: without the floor, and the floor's own.
type course struct{ net, floor []float64 }

func (m *ringMap) along(angle float64, power, under []float64) course {
	c := course{make([]float64, m.n/2), make([]float64, m.n/2)}
	count := make([]float64, m.n/2)
	sin, cos := exact.Sincos(angle)
	for i, at := range m.at {
		if at < 0 {
			continue
		}
		kx, ky := float64((i%m.n+m.n/2)%m.n-m.n/2), float64(i/m.n)
		r := int(math.Abs(float64(cos*kx)+float64(sin*ky)) + 0.5)
		if r >= len(count) {
			continue
		}
		square, floor := float64(kx*kx)+float64(ky*ky), under[at/sectors]
		c.net[r] += float64(square * (power[i] - floor))
		c.floor[r] += float64(square * floor)
		count[r]++
	}
	for r, n := range count {
		c.net[r] /= max(1, n)
		c.floor[r] /= max(1, n)
	}
	return c
}

// shake is the length, in pixels, of a shake along the course; 0 if there is none.
func (c course) shake() (length float64) {
	level := make([]float64, len(c.net))
	for r := range level {
		level[r] = exact.Log(max(c.net[r], 0) + float64(combBlunt*c.floor[r]) + math.SmallestNonzeroFloat64)
	}
	deepest := 0.0
	for l := shortest; l <= mostShake; l *= shakeStep {
		spacing := float64(2*len(c.net)) / l
		last := c.reach(spacing)
		if float64(last) < (1+combAround)*spacing {
			continue
		}
		depth, left := comb(level, spacing, last)
		if depth > max(deepest, leastDepth(l)) && left < combPart && c.isEmptyAt(spacing, last) {
			deepest, length = depth, l
		}
	}
	if length < leastShake {
		return 0
	}
	return length
}

// leastDepth is the amplitude from which a comb counts. A long shake's is blunted by
// the tile's window; and a single dip is more than a texture may have by chance.
func leastDepth(length float64) float64 {
	switch {
	case length <= shortShake:
		return shortDepth
	case length <= middleShake:
		return middleDepth
	}
	return combDepth
}

// reach is the last ring to look for a comb of that spacing: beyond it there is
// no picture.
func (c course) reach(spacing float64) int {
	last := 2
	for last < len(c.net)-2 && float64(last) < (combZeros+0.5)*spacing {
		lo, hi := float64(last+1)-float64(spacing/2), float64(last+1)+float64(spacing/2)
		if mean(c.net, lo, hi) < combFloor*mean(c.floor, lo, hi) {
			break
		}
		last++
	}
	return last
}

// isEmptyAt reports whether the comb's first zeros are, with picture beyond.
func (c course) isEmptyAt(spacing float64, last int) bool {
	half := max(0.5, float64(spacing/8))
	next := float64(1.5 * spacing)
	if mean(c.net, next-half, next+half) < lobeFloor*mean(c.floor, next-half, next+half) {
		return false
	}
	for k, most := range [2]float64{firstZero, secondZero} {
		zero := float64(float64(k+1) * spacing)
		if zero+float64(combAround*spacing) > float64(last) {
			break
		}
		lobe := func(middle float64) float64 { return mean(c.net, middle-half, middle+half) }
		if lobe(zero) > most*(lobe(zero-float64(spacing/2))+lobe(zero+float64(spacing/2)))/2 {
			return false
		}
	}
	return true
}

// mean is that of v from lo to hi, of which entry i holds i - 1/2 to i + 1/2; the
// first is left out.
func mean(v []float64, lo, hi float64) float64 {
	lo, hi = max(0.5, lo), min(float64(len(v))-0.5, hi)
	sum := 0.0
	for i := int(lo + 0.5); i < len(v) && float64(i)-0.5 < hi; i++ {
		sum += float64(v[i] * (min(hi, float64(i)+0.5) - max(lo, float64(i)-0.5)))
	}
	return sum / max(hi-lo, math.SmallestNonzeroFloat64)
}

// comb is the amplitude of zeros at every multiple of spacing in rings 2 to last,
// by least squares: minus that of a cosine. left is the part of the variance about
// the smooth course that it does not explain.
func comb(level []float64, spacing float64, last int) (depth, left float64) {
	var scratch [5][tileSide / 2]float64
	n := last - 1
	y, wave, course := scratch[0][:n], scratch[1][:n], [3][]float64{scratch[2][:n], scratch[3][:n], scratch[4][:n]}
	for i := range y {
		r := float64(i + 2)
		l := exact.Log(r)
		y[i], wave[i] = level[i+2], -exact.Cos(2*math.Pi*r/spacing)
		course[0][i], course[1][i], course[2][i] = 1, l, l*l
	}
	for i, v := range course {
		for _, before := range course[:i] {
			without(v, before)
		}
		without(y, v)
		without(wave, v)
	}
	depth = dot(y, wave) / dot(wave, wave)
	return depth, 1 - depth*dot(y, wave)/dot(y, y)
}

// without takes from v what it has of u.
func without(v, u []float64) {
	part := dot(v, u) / dot(u, u)
	for i := range v {
		v[i] -= float64(part * u[i])
	}
}

func dot(a, b []float64) (sum float64) {
	for i, v := range a {
		sum += float64(v * b[i])
	}
	return sum
}
