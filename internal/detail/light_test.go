package detail

import (
	"math"
	"testing"
)

// By hand: a pixel of 6 micrometres (36 mm over 6000) at ISO 100. Mid-grey is 0.2176 of
// white, 0.1536 of saturation at 0.78 lux s, so 0.1198 lux s: 1363 photons on a square
// micrometre and 49,080 on 36. Their root is 221.5, a relative 0.451 %; encoded, 0.5/2.2
// times that.
func TestTheNoiseOfLightIsArithmetic(t *testing.T) {
	if got := LightNoise(100, 6000); math.Abs(got-0.001026) > 0.000002 {
		t.Errorf("got %.6f", got)
	}
	if got := LightNoise(6400, 6000) / LightNoise(100, 6000); math.Abs(got-8) > 1e-9 {
		t.Errorf("64 times the speed has %.3f times the noise, want 8", got)
	}
	if got := LightNoise(100, 12000) / LightNoise(100, 6000); math.Abs(got-2) > 1e-9 {
		t.Errorf("pixels half as wide have %.3f times the noise, want 2", got)
	}
	for _, none := range [][2]int{{0, 6000}, {-1, 6000}, {100, 0}} {
		if got := LightNoise(none[0], none[1]); got != 0 {
			t.Errorf("%v: %g, and nothing is known", none, got)
		}
	}
}

// The constants are those of physics: h and c by definition of the SI.
func TestALuxSecondIsSoManyPhotons(t *testing.T) {
	const h, c, nm = 6.62607015e-34, 299792458.0, 1e-9
	perNM := 1 / (683 * 106.857) // W/m² in a nm for a lux
	photons := 0.0
	for wavelength := 400.5; wavelength < 700; wavelength++ {
		photons += perNM * wavelength * nm / (h * c)
	}
	if got := photons * 1e-12; math.Abs(got/photonsPerLux-1) > 0.001 {
		t.Errorf("%.0f photons a square micrometre, and the house reckons with %g", got, photonsPerLux)
	}
}
