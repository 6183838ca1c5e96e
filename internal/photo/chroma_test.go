package photo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The quicker forms of interpolation equal the definition for every width,
// phase and fraction.
func TestChromaFollowsItsDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, sub := range []int{1, 2} {
		for w := 1; w <= 9; w++ {
			n := (w + sub - 1) / sub
			for _, off := range []int{0, w - n*sub} { // as decoded, and mirrored
				pl := plane{step: 1, Grid: Grid{Width: n, SubX: sub, OffX: off, SubY: 1}}
				top, bottom := randomBytes(rnd, n), randomBytes(rnd, n)
				for _, f := range []float32{0, 0.25, 0.75} {
					got, want := make([]float32, w), make([]float32, w)
					if sub == 1 {
						chroma1(top, bottom, f, got)
					} else {
						chroma2(top, bottom, f, off, got)
					}
					pl.chromaAny(top, bottom, f, want)
					if d, _ := difference(t, got, want); d > 1e-4 {
						t.Errorf("sub %d width %d offset %d fraction %g: %v, want %v", sub, w, off, f, got, want)
					}
				}
			}
		}
	}
}

func randomBytes(rnd *rand.Rand, n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(rnd.Uint32())
	}
	return b
}

// JFIF centred siting (ITU-T T.871, 6.2): with two pixels to a sample, sample i
// is sited at pixel 2i+0.5; with four, at 4i+1.5. A chroma ramp that is a
// straight line over the picture therefore stays that line between the
// outermost samples.
func TestChromaIsSitedAtTheCentre(t *testing.T) {
	for _, sub := range []int{1, 2, 4} {
		t.Run(fmt.Sprint(sub), func(t *testing.T) {
			const n = 12
			w := n * sub
			pl := plane{pix: make([]byte, n), stride: n, step: 1, Grid: Grid{Width: n, Height: 1, SubX: sub, SubY: 1}}
			for i := range pl.pix {
				pl.pix[i] = byte(100 + 4*i)
			}
			got := make([]float32, w)
			pl.chroma(0, got)
			for x := range w {
				i := (float64(x)+0.5)/float64(sub) - 0.5 // the sample's index at this pixel
				want := 100 + 4*min(max(i, 0), n-1) - 128
				if math.Abs(float64(got[x])-want) > 1e-4 {
					t.Errorf("pixel %d: %g, want %g", x, got[x], want)
				}
			}
		})
	}
}

// ITU-T T.871 section 7, worked for the corners of the RGB cube: white, black,
// and the primaries with their Y, Cb, Cr rounded to whole steps.
func TestYCbCrToRGB(t *testing.T) {
	tests := []struct {
		ycc  [3]byte
		want [3]float32
	}{
		{[3]byte{255, 128, 128}, [3]float32{1, 1, 1}},
		{[3]byte{0, 128, 128}, [3]float32{0, 0, 0}},
		{[3]byte{128, 128, 128}, [3]float32{128. / 255, 128. / 255, 128. / 255}},
		{[3]byte{76, 85, 255}, [3]float32{1, 0, 0}},
		{[3]byte{150, 44, 21}, [3]float32{0, 1, 0}},
		{[3]byte{29, 255, 107}, [3]float32{0, 0, 1}},
	}
	for _, tt := range tests {
		p := &Photo{Info: Info{Width: 1, Height: 1, Model: RGB}, ycc: true}
		for c := range 3 {
			pl := newPlane(1, 1, false)
			pl.pix[0] = tt.ycc[c]
			p.planes = append(p.planes, pl)
		}
		r, g, b := make([]float32, 1), make([]float32, 1), make([]float32, 1)
		p.Row(0, [][]float32{r, g, b})
		got := []float32{r[0], g[0], b[0]}
		if d, _ := difference(t, got, tt.want[:]); d > 1.2/255 {
			t.Errorf("%v becomes %v, want %v", tt.ycc, got, tt.want)
		}
	}
}
