package detail

import (
	"math"
	"testing"
)

// A smooth slope of tone with a busy patch: whatever the shape of the crop, no window that
// has room for the patch cuts it.
func TestAWindowNeverCutsTheSubjectThatItHasRoomFor(t *testing.T) {
	for _, at := range []float64{0.02, 0.2, 0.45, 0.7, 0.86} {
		for _, wide := range []bool{true, false} {
			n := InterestOf(busyPatch(at, wide).in(t, jpeg95))
			for _, share := range []float64{0.2, 0.3, 0.5, 0.8, 0.97} {
				w := n.Window(wide, share)
				if w.From < 0 || w.From+share > 1+1e-12 {
					t.Errorf("patch at %v: a window of %v begins at %v", at, share, w.From)
				}
				if w.SubjectFrom > at+0.02 || w.SubjectTo < at+0.1 || w.SubjectTo > at+0.16 {
					t.Errorf("patch at %v: the subject is from %v to %v", at, w.SubjectFrom, w.SubjectTo)
				}
				if w.From > at+1e-9 || w.From+share < at+0.12-1e-9 {
					t.Errorf("patch at %v: a window of %v from %v cuts it", at, share, w.From)
				}
				if w.Holds < w.Centred-1e-4 || w.Holds < 0.9 {
					t.Errorf("patch at %v: a window of %v holds %v, at the centre %v", at, share, w.Holds, w.Centred)
				}
			}
		}
	}
}

// busyPatch is 600 x 400, or turned, with a chequered tenth of its longer side at a share of it.
func busyPatch(at float64, wide bool) picture {
	p := picture{600, 400, make([]float64, 600*400)}
	for i := range p.v {
		x, y := i%600, i/600
		p.v[i] = 0.3 + 0.4*float64(x+y)/1000
		if x >= int(at*600) && x < int((at+0.12)*600) && y > 150 && y < 250 {
			p.v[i] = 0.2 + 0.6*float64((x/5+y/5)%2)
		}
	}
	if !wide {
		return p.turned()
	}
	return p
}

// Where nothing stands out the crop stays at the centre, and no subject is named.
func TestWithoutDetailAWindowIsAtTheCentre(t *testing.T) {
	flat := picture{300, 200, make([]float64, 300*200)}
	all := picture{300, 200, make([]float64, 300*200)}
	for i := range flat.v {
		flat.v[i], all.v[i] = 0.5, 0.2+0.6*float64((i%300/5+i/300/5)%2)
	}
	for name, p := range map[string]picture{"a flat picture": flat, "detail all over": all} {
		if w := InterestOf(p.in(t, grey8)).Window(true, 2./3); math.Abs(w.From-1./6) > 0.04 || w.SubjectTo != 0 {
			t.Errorf("%s: %+v", name, w)
		}
	}
}

// A subject is often fainter on one side than what is measured of it. So a window with room
// has it nearer to its middle than the most detail asks.
func TestASubjectHasRoomOnBothSides(t *testing.T) {
	const share, from, to = 0.6, 0.62, 0.74
	w := InterestOf(busyPatch(from, true).in(t, jpeg95)).Window(true, share)
	if before, after := from-w.From, w.From+share-to; min(before, after) < 0.15 {
		t.Errorf("the window from %v has %.2f before the subject and %.2f after it", w.From, before, after)
	}
}

// Two busy ends and nothing between them are no subject: the crop stays at the centre, where
// what is small may be.
func TestDetailAtBothEndsIsNoSubject(t *testing.T) {
	p := picture{600, 400, make([]float64, 600*400)}
	for i := range p.v {
		p.v[i] = 0.5
		if x, y := i%600, i/600; x < 100 || x > 480 {
			p.v[i] = 0.2 + 0.6*float64((x/5+y/5)%2)
		}
	}
	if w := InterestOf(p.in(t, grey8)).Window(true, 0.5); w.SubjectTo != 0 || w.From != 0.25 {
		t.Errorf("%+v", w)
	}
}
