package colour

// spaceTally counts what a working space loses. The round trip through a matrix space
// clips its linear light, whatever its curves.
type spaceTally struct {
	tally
	name    string
	matrix  [3][3]float64
	inverse [3][3]float64
}

func newSpaceTallies() (t []spaceTally) {
	for _, s := range []RGBSpace{SRGB, A98, ROMM} {
		m := s.Matrix()
		t = append(t, spaceTally{name: s.Name, matrix: m, inverse: inverse(m)})
	}
	return t
}

// clipTolerance is how far linear light may be outside 0..1 before it counts as
// clipped. Profiles store their matrices in steps of 1/65536, which moves a space's own
// colours by as much. It hides at most 0.05 CIEDE2000.
const clipTolerance = 5e-5

func (s *spaceTally) add(c XYZ, asked Lab, pixels int) {
	lin := mulVec(s.inverse, c)
	inside := true
	for i, v := range lin {
		inside = inside && v >= -clipTolerance && v <= 1+clipTolerance
		lin[i] = min(max(v, 0), 1)
	}
	if !inside {
		s.count(deltaE(asked, XYZ(mulVec(s.matrix, lin)).Lab()), pixels)
	}
}

func (s *spaceTally) join(o spaceTally) {
	for i := range s.beyond {
		s.beyond[i] += o.beyond[i]
	}
	s.max = max(s.max, o.max)
}

func (s *spaceTally) loss(pixels int) SpaceLoss {
	return SpaceLoss{Space: s.name, Shares: s.shares(pixels), Max: s.max}
}
