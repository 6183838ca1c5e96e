package detail

import (
	"math"

	"sizewright/internal/exact"
)

const (
	// sensorMM is the long side of the largest sensor in common use. A smaller one
	// gets less light, so that no camera but a larger one has less noise.
	sensorMM = 36.0

	// saturationSpeed over the ISO speed is the exposure, in lux seconds, at which a
	// sensor saturates; 18 % grey lies at 12.7 % of that, half a stop lower than it
	// would (ISO 12232, saturation-based speed).
	saturationSpeed = 78.0
	headroom        = 12.7 / 18

	// photonsPerLux is how many photons of 400 to 700 nm fall on a square micrometre
	// in a lux second of white of equal energy at every wavelength: 1 lux of it is
	// 1/(683 x 106.9) W/m² in a nm (106.9 nm is the integral of V, CIE 018), over the
	// energy of a photon, h c / wavelength.
	photonsPerLux = 11_380.0
)

// LightNoise is the least noise that a photograph's mid-grey (0.5) can have at an ISO
// speed, as a standard deviation of encoded luma (gamma 2.2), if its long side has so
// many pixels: photons come at random, and a pixel that counted every one of n would
// be off by their root. A sensor of 36 mm is assumed. Cameras count perhaps a third
// of them (from memory); small sensors have several times the noise. 0 if the ISO
// is not known.
//
// It is what [Measurement.Noise] is held against where EXIF has the ISO. Less noise
// than light has was smoothed away, or averaged when the file was reduced; twenty
// times as much may be texture that was taken for noise.
func LightNoise(iso, long int) float64 {
	if iso <= 0 || long <= 0 {
		return 0
	}
	const grey = 0.5
	exposure := exact.Pow(grey, 2.2) * headroom * saturationSpeed / float64(iso)
	side := 1000 * sensorMM / float64(long)
	photons := exposure * photonsPerLux * side * side
	return grey / 2.2 / math.Sqrt(photons)
}
