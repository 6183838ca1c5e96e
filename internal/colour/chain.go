package colour

import "fmt"

// Chain is a conversion from one profile's device values to another's.
type Chain struct {
	From, To *Profile
	Intent   Intent
	// BlackPoint asks for black point compensation (ISO 18619:2015).
	BlackPoint bool
}

// link computes a chain in float64, exactly but slowly. The baked forms are made from
// it and tested against it. It is not safe for concurrent use.
type link struct {
	to    toXYZ
	black compensation
	from  fromXYZ
	// The affine forms of both sides, or nil.
	source, dest *affine
}

func (c Chain) link() (l *link, err error) {
	if l, err = c.clone(&link{black: none}); err != nil {
		return nil, err
	}
	if c.To.compensates(c.Intent, c.BlackPoint) {
		if l.black, err = c.compensation(); err != nil {
			return nil, err
		}
	}
	if c.From.Channels == 3 {
		l.source = affineOf(l.to)
	}
	if c.To.Channels == 3 && !c.To.hasTables(Perceptual) && !c.To.hasTables(c.Intent) {
		back, err := c.To.toXYZ(c.Intent)
		if err != nil {
			return nil, err
		}
		l.dest = affineOf(back)
	}
	return l, nil
}

// clone returns a link for another goroutine, with its own pipelines. It reuses the
// affine forms and the compensation of found, which are slow to compute.
func (c Chain) clone(found *link) (*link, error) {
	l := *found
	var err error
	if l.to, err = c.From.toXYZ(c.Intent); err != nil {
		return nil, fmt.Errorf("from %s: %w", c.From.Name, err)
	}
	if l.from, err = c.To.fromXYZ(c.Intent); err != nil {
		return nil, fmt.Errorf("to %s: %w", c.To.Name, err)
	}
	return &l, nil
}

// compensation maps the source's black to the destination's. Where the destination's
// black is fixed, fromXYZ has already mapped the darkest colour to it.
func (c Chain) compensation() (compensation, error) {
	in, err := c.From.black(c.Intent)
	if err != nil {
		return none, err
	}
	var out XYZ
	if !c.To.fixedBlack(c.Intent) {
		if out, err = c.To.destinationBlack(c.Intent); err != nil {
			return none, err
		}
	}
	if in == out {
		return none, nil
	}
	return compensationFor(in, out), nil
}

// device converts device values.
func (l *link) device(dst, src []float64) {
	l.from(dst, l.black.of(l.to(src)))
}

// even is like device, but for an affine destination it returns the lightness (0..1) of
// each channel's linear light, unclipped: a function without the steep parts of the
// destination's curves.
func (l *link) even(dst, src []float64) {
	if l.dest == nil {
		l.device(dst, src)
		return
	}
	lin := l.dest.linear(l.black.of(l.to(src)))
	for c := range 3 {
		dst[c] = lightness(lin[c])
	}
}

// lightness returns CIE L* / 100 of a luminance, as an odd function below 0.
func lightness(y float64) float64 {
	if y < 0 {
		return -lightness(-y)
	}
	return (float64(116*labF(y)) - 16) / 100
}

// luminance is the inverse of lightness over 0..1.
func luminance(l float64) float64 { return labG((float64(100*l) + 16) / 116) }
