package slantededge

// crossing returns where the spread first reaches a level on the way outwards (1 to
// the light, -1 to the dark) from the middle, in px.
func (s *spread) crossing(level float64, outwards int) (float64, bool) {
	i := len(s.values) / 2
	for s.reached(i, level, outwards) { // noise and skew: start well inside
		if i -= outwards; !s.inside(i) {
			return 0, false
		}
	}
	for s.inside(i + outwards) {
		if s.reached(i+outwards, level, outwards) {
			return s.between(i, level, outwards), true
		}
		i += outwards
	}
	return 0, false
}

// inside leaves the two bins at each end to the cubic.
func (s *spread) inside(i int) bool { return i >= 2 && i < len(s.values)-2 }

func (s *spread) reached(i int, level float64, outwards int) bool {
	return (s.values[i]-level)*float64(outwards) >= 0
}

// between finds the level from bin i to the next outwards on the cubic through
// four bins: chords would make the rise of a sharp edge 0.03 px longer.
func (s *spread) between(i int, level float64, outwards int) float64 {
	a, b, c, d := s.values[i-outwards], s.values[i], s.values[i+outwards], s.values[i+2*outwards]
	from, to := 0.0, 1.0
	for range 40 {
		t := (from + to) / 2
		if (lagrange(a, b, c, d, t)-level)*float64(outwards) < 0 {
			from = t
		} else {
			to = t
		}
	}
	return s.position(i) + float64(outwards)*to/oversample
}

// lagrange returns the cubic through a, b, c and d at -1, 0, 1 and 2.
func lagrange(a, b, c, d, t float64) float64 {
	return -a*t*(t-1)*(t-2)/6 + b*(t+1)*(t-1)*(t-2)/2 - c*(t+1)*t*(t-2)/2 + d*(t+1)*t*(t-1)/6
}
