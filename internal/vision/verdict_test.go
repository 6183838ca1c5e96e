package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

var rank = map[Verdict]int{Carries: 0, LookCloser: 1, TooSmall: 2}

// judged is the verdict on a picture of so many pixels, on paper of a width in mm.
func judged(width, height, widthMM, givenMM, acuity, resolution float64) Verdict {
	pitch := widthMM / width
	return NewLevels(pitch*math.Hypot(width, height), givenMM, acuity).Judge(mmPerInch/pitch, Counted(resolution, 0))
}

func TestTheVerdictNeverRisesWithSizeNorFallsWithPixels(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for range 2000 {
		w, h := 100+20_000*r.Float64(), 100+20_000*r.Float64()
		given, acuity, counted := 0.0, 0.25+2.75*r.Float64(), 0.05+0.95*r.Float64()
		if r.IntN(2) == 0 {
			given = 100 * math.Exp(7*r.Float64())
		}
		mm := 10 * math.Exp(6*r.Float64())
		larger, finer := 1+r.Float64(), 1+r.Float64()
		v := judged(w, h, mm, given, acuity, counted)
		if u := judged(w, h, larger*mm, given, acuity, counted); rank[u] < rank[v] {
			t.Fatalf("%.0f x %.0f px: %s at %.1f mm and %s at %.1f mm", w, h, v, mm, u, larger*mm)
		}
		if u := judged(finer*w, finer*h, mm, given, acuity, counted); rank[u] > rank[v] {
			t.Fatalf("at %.1f mm: %s with %.0f x %.0f px and %s with %.2f times as many", mm, v, w, h, u, finer)
		}
		if u := judged(w, h, mm, given, acuity, min(1, finer*counted)); rank[u] > rank[v] {
			t.Fatalf("at %.1f mm: %s with %.2f of the pixels and %s with more", mm, v, counted, u)
		}
	}
}

func TestAFileIsJudgedByThePixelsThatCarryPicture(t *testing.T) {
	for _, test := range []struct {
		name                 string
		resolution, enlarged float64
		want                 Share
	}{
		{"an ordinary photograph", 0.6, 0, All},
		{"the sharpest", 1, 1, All},
		{"one that is not measured", 0, 0, All},
		{"a sharp one enlarged twice", 0.5, 2, Share{0.5, 0.5}},
		{"an ordinary one enlarged twice", 0.3, 2, Share{0.5, 0.5}},
		{"a soft one", 0.3, 0, Share{0.3, 0.4}},
		{"one at the end of the soft", 0.5, 0, Share{0.5, 2. / 3}},
		{"one between soft and ordinary", 0.55, 0, Share{0.75, 5. / 6}},
		{"one between them, enlarged twice", 0.275, 2, Share{0.375, 5. / 12}},
		{"a soft one enlarged twice", 0.15, 2, Share{0.15, 0.2}},
		{"nothing known but that it was enlarged", 0, 4, Share{0.25, 0.25}},
	} {
		if got := Counted(test.resolution, test.enlarged); math.Abs(got.Least-test.want.Least) > 1e-12 || math.Abs(got.Most-test.want.Most) > 1e-12 {
			t.Errorf("%s: %v of its pixels count, want %v", test.name, got, test.want)
		}
	}
}

// Detail is measured to a thousandth of the pixels: no such step may decide. The rule is
// steepest where 0.1 of them count for 0.5.
func TestWhatCountsRisesWithDetailAndHasNoStep(t *testing.T) {
	for _, enlarged := range []float64{0, 1.2, 2, 4} {
		times := max(enlarged, 1)
		last := Counted(0.001, enlarged)
		for resolution := 0.002; resolution <= 1; resolution += 0.001 {
			c := Counted(resolution, enlarged)
			if c.Least > c.Most || c.Most > 1/times {
				t.Fatalf("at %.3f, enlarged %v times: %+v", resolution, enlarged, c)
			}
			for _, rise := range []float64{c.Least - last.Least, c.Most - last.Most} {
				if rise < -1e-12 || rise > 0.0051 {
					t.Fatalf("from %.3f to %.3f, enlarged %v times: %+v to %+v", resolution-0.001, resolution, enlarged, last, c)
				}
			}
			last = c
		}
	}
}

// Detail of a hundredth is seen up to two thirds of the 30 cycles a degree that an eye of
// one minute of arc ends at: Barten (2004), with the usual viewer.
func TestDetailOfPicturesIsSeenToTwoThirdsOfTheEyesLimit(t *testing.T) {
	e := DefaultViewer().Envelope()
	if at := 1 / e.At(30*seen); at < 0.005 || at > 0.015 {
		t.Errorf("the threshold at two thirds is %.4f, want about 0.01", at)
	}
	if at := 1 / e.At(30); at < 0.02 {
		t.Errorf("the threshold at the limit is %.4f", at)
	}
}

func TestADistanceThatIsGivenIsWherePeopleStand(t *testing.T) {
	for _, test := range []struct {
		name                string
		diagonal, given     float64
		wantLeast, wantMost float64
	}{
		{"a card", 180, 0, 129, 194},
		{"A4", 364, 0, 107, 160},
		{"a wall piece", 1100, 0, 90, 134},
		{"a wall piece in a corridor", 1100, 500, 116, 175},
		{"one to be read", 1100, 100, 233, 349}, // no eye focuses nearer than 250 mm
		{"one high up", 1100, 4000, 90, 90},     // it looks sharp from there; who comes near sees the least
	} {
		l := NewLevels(test.diagonal, test.given, 1)
		if math.Abs(l.Least-test.wantLeast) > 0.6 || math.Abs(l.Sharp-test.wantMost) > 0.6 {
			t.Errorf("%s: %+v, want %v and %v", test.name, l, test.wantLeast, test.wantMost)
		}
	}
}
