package detail

import (
	"math"
	"slices"

	"sizewright/internal/exact"
)

// House judgement, no source.
const (
	centres     = 64      // frequencies from 0 to 0.5 cycles per pixel at which power is kept
	centreReach = 1. / 4  // of a repeat's frequency: coherence is taken over so much to either side of its centre
	faintest    = 1e-5    // of the strongest power: what has less is taken for that
	slowest     = 1. / 32 // cycles per pixel: of repeats, the slowest
	fastest     = 0.97    // and the fastest
	waveOver    = 4.0     // times the power to either side: a single wave's
	chanceOver  = 1. / 32 // cycles per pixel: repeats this near tell what chance gives
)

// repeats is how strongly a picture's structure along one direction repeats:
// entry i is for i times step cycles per pixel, from 0 to 1. Repeats over 0.5
// are not those below it seen again. Both compare waves that are as far apart,
// but about other centres: see coherence.
type repeats struct {
	step     float64
	strength []float64 // the coherence, 0 to about 1
	over     []float64 // times what chance gives nearby
	waves    *coherence
}

// repeatsOf takes the lagged products along a line of length pixels, by lag and
// place.
func repeatsOf(length int, products [][]float64) repeats {
	size := 1
	for size < length {
		size *= 2
	}
	c := &coherence{size: size, waves: make([][]complex128, lags+1)}
	f := newFourier(size)
	var total [lags + 1]float64
	for lag := range c.waves {
		x := make([]complex128, size)
		for i, v := range products[lag] {
			v = float64(v * (1 - exact.Cos(2*math.Pi*(float64(i)+0.5)/float64(length))))
			x[i] = complex(v, 0)
			total[lag] += v
		}
		f.line(x)
		c.waves[lag] = x
	}
	c.setPower(total)
	r := repeats{1 / float64(size), make([]float64, size), make([]float64, size), c}
	for i := int(slowest * float64(size)); i < int(fastest*float64(size)); i++ {
		r.strength[i] = c.at(i)
	}
	r.compare()
	return r
}

// compare sets over: strengths by the median of those nearby.
func (r repeats) compare() {
	reach := max(8, int(chanceOver/r.step))
	for i := 0; i < len(r.strength); i += reach {
		near := slices.Clone(r.strength[max(0, i-reach):min(len(r.strength), i+2*reach)])
		slices.Sort(near)
		usual := max(near[len(near)/2], math.SmallestNonzeroFloat64)
		for j := i; j < min(len(r.strength), i+reach); j++ {
			r.over[j] = r.strength[j] / usual
		}
	}
}

// near is the strength of repeats of frequency f, and how many times chance it
// is, at the best of the nearest entries.
func (r repeats) near(f float64) (strength, over float64) {
	at := int(math.Round(f / r.step))
	for i := max(0, at-2); i <= min(len(r.strength)-1, at+2); i++ {
		strength, over = max(strength, r.strength[i]), max(over, r.over[i])
	}
	return strength, over
}

// isWave reports whether repeats of frequency f are those of a single wave of
// half of it, which repeats with itself: a weave, a grille. It stands out in power.
func (r repeats) isWave(f float64) bool {
	const width = 2. / (lags + 1) // of a line, as the lags show it, half and slack
	return r.waves.powerAt(float64(f/2)) > waveOver*max(r.waves.powerAt(float64(f/2)-width/2), r.waves.powerAt(float64(f/2)+width/2))
}

// coherence compares a picture's waves with those that are f cycles per pixel
// apart: the spectral correlation of W. A. Gardner, "Exploitation of spectral
// redundancy in cyclostationary signals", IEEE Signal Processing Magazine 8
// (1991), from memory. Over the places x, the products at one lag have the
// transform R(f, lag); over the lags, R has the transform S(f, centre), which is
// the correlation of the waves centre + f/2 and centre - f/2. It is 1 where the
// one is a copy of the other, however weak.
type coherence struct {
	size  int
	waves [][]complex128       // by lag: the products' transform
	power [centres + 1]float64 // of waves of i/(2 centres) cycles per pixel
}

// taper weighs lags down to nothing, for a smooth spectrum.
func taper(lag int) float64 { return 0.5 + float64(0.5*exact.Cos(math.Pi*float64(lag)/(lags+1))) }

func (c *coherence) setPower(total [lags + 1]float64) {
	most := math.SmallestNonzeroFloat64
	for i := range c.power {
		c.power[i] = total[0]
		for lag := 1; lag <= lags; lag++ {
			c.power[i] += float64(2 * taper(lag) * total[lag] * cosines[i*lag%(2*centres)])
		}
		most = max(most, c.power[i])
	}
	for i := range c.power {
		c.power[i] = max(c.power[i], faintest*most)
	}
}

func (c *coherence) powerAt(f float64) float64 {
	return c.power[int(math.Round(math.Abs(f-math.Round(f))*2*centres))]
}

// at is the coherence of waves i/size cycles per pixel apart. An enlargement's
// copies all have one phase, so the mean is taken before the magnitude.
func (c *coherence) at(i int) float64 {
	f := float64(i) / float64(c.size)
	var w [lags + 1]complex128
	for lag := range w {
		// Both pixels lie half the lag from their middle, which is the place.
		w[lag] = exact.Times(c.waves[lag][i], exact.Rect(taper(lag), -math.Pi*f*float64(lag)))
		if lag > 0 {
			w[lag] = exact.Scaled(w[lag], 2) // for the lag to the other side
		}
	}
	var sum complex128
	last := int(float64(centreReach*f) * (2 * centres))
	for n := range last + 1 {
		centre := float64(float64(n) / (2 * centres))
		var both complex128
		for lag, v := range w {
			both += exact.Scaled(v, cosines[n*lag%(2*centres)])
		}
		sum += both / complex(math.Sqrt(c.powerAt(centre+float64(f/2))*c.powerAt(centre-float64(f/2))), 0)
	}
	return exact.AbsComplex(sum) / float64(last+1)
}

// cosines are cos(pi i/centres): of a lag in a wave of n/(2 centres) cycles per
// pixel, at n times the lag.
var cosines = func() (c [2 * centres]float64) {
	for i := range c {
		c[i] = exact.Cos(math.Pi * float64(i) / centres)
	}
	return c
}()
