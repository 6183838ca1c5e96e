package roll

// rowWidth is the most of the strip's width that cells beside each other can fill:
// the largest sum of sides, one of each cell at most, that is no wider than the
// strip. A line across the strip meets cells of no more width than that, so what it
// is less than the strip is lost along the whole length.
func (t *task) rowWidth() int64 {
	unit := t.unit()
	sums := newSums(t.width / unit)
	for _, c := range t.cells {
		w, h := c.w/unit, c.h/unit
		if !c.upright {
			w = h
		}
		if !c.turned {
			h = w
		}
		sums.add(w, h)
	}
	return sums.largest() * unit
}

// unit is the greatest common divisor of all sides.
func (t *task) unit() int64 {
	var d int64
	for _, c := range t.cells {
		d = gcd(gcd(d, c.w), c.h)
	}
	return d
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// sums is which sums can be made, a bit each.
type sums struct {
	most  int64
	words []uint64
}

func newSums(most int64) *sums {
	s := &sums{most, make([]uint64, most/64+1)}
	s.words[0] = 1
	return s
}

// add lets a or b, not both, be added to each sum. From the top down each word is
// made of words that are as they were.
func (s *sums) add(a, b int64) {
	for k := int64(len(s.words)) - 1; k >= 0; k-- {
		s.words[k] |= s.shifted(k, a) | s.shifted(k, b)
	}
}

// shifted is the k-th word of the sums with by added.
func (s *sums) shifted(k, by int64) uint64 {
	k -= by / 64
	if k < 0 {
		return 0
	}
	w := s.words[k] << (by % 64)
	if k > 0 && by%64 > 0 {
		w |= s.words[k-1] >> (64 - by%64)
	}
	return w
}

func (s *sums) largest() int64 {
	for n := s.most; n > 0; n-- {
		if s.words[n/64]>>(n%64)&1 == 1 {
			return n
		}
	}
	return 0
}
