package render

import (
	"math"

	"sizewright/internal/exact"
)

// Kernel is a resampling filter. At is its value at a distance in source pixels (output
// pixels when reducing); it is zero from Support on. It need not sum to one: weights are
// divided by their sum.
type Kernel struct {
	Name    string
	Support float64
	At      func(x float64) float64
}

// Kernels are all kernels that a setting can name, from sharp to soft.
//
// The windowed sincs: C. E. Duchon, "Lanczos Filtering in One and Two
// Dimensions", J. Applied Meteorology 18 (1979); J. F. Kaiser, "Nonrecursive
// Digital Filter Design Using the I0-sinh Window Function", ISCAS (1974);
// Blackman's window in F. J. Harris, Proc. IEEE 66 (1978). The cubics of two
// parameters: D. P. Mitchell and A. N. Netravali, "Reconstruction Filters in
// Computer Graphics", SIGGRAPH 88; their (0, 1/2) is Catmull and Rom's, (1, 0) the
// cubic B-spline, and Robidoux's pair is in ImageMagick's documentation. The cubic
// of six samples: R. G. Keys, "Cubic Convolution Interpolation for Digital Image
// Processing", IEEE Trans. ASSP 29 (1981).
var Kernels = []Kernel{
	lanczos("lanczos4", 4), Lanczos3, lanczos("lanczos2", 2),
	windowed("kaiser3", 3, kaiser(6.33)), windowed("blackman3", 3, blackman),
	cubic("catmull-rom", 0, 0.5), {"keys6", 3, keys6},
	cubic("robidoux", 0.37821575509399867, 0.31089212245300067),
	cubic("mitchell", 1./3, 1./3), cubic("b-spline", 1, 0),
}

// Lanczos3 is the sinc function under a sinc window of three lobes.
var Lanczos3 = lanczos("lanczos3", 3)

// KeepPixels names the kernel that takes each pixel from the source pixel under it.
const KeepPixels = "none"

var asIs = Kernel{Name: KeepPixels, Support: 0.5, At: func(x float64) float64 {
	if x >= -0.5 && x < 0.5 {
		return 1
	}
	return 0
}}

// kernelNamed returns the kernel of a recipe. Another name is a mistake in the program,
// because the configuration is checked.
func kernelNamed(name string) Kernel {
	for _, k := range append(Kernels, asIs) {
		if k.Name == name {
			return k
		}
	}
	panic("render: no kernel is called " + name)
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return exact.Sin(math.Pi*x) / (math.Pi * x)
}

// windowed returns a sinc of that many lobes under a window, given over -1..1.
func windowed(name string, lobes float64, window func(x float64) float64) Kernel {
	return Kernel{name, lobes, func(x float64) float64 {
		if math.Abs(x) >= lobes {
			return 0
		}
		return sinc(x) * window(x/lobes)
	}}
}

func lanczos(name string, lobes float64) Kernel { return windowed(name, lobes, sinc) }

func blackman(x float64) float64 {
	return 0.42 + float64(0.5*exact.Cos(math.Pi*x)) + float64(0.08*exact.Cos(2*math.Pi*x))
}

func kaiser(beta float64) func(x float64) float64 {
	return func(x float64) float64 { return bessel(beta*math.Sqrt(1-float64(x*x))) / bessel(beta) }
}

// bessel returns the modified Bessel function of the first kind, order zero, by its
// power series.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term = float64(term * (x * x / (4 * k * k)))
		sum += term
	}
	return sum
}

// cubic returns the member (b, c) of Mitchell and Netravali's family.
func cubic(name string, b, c float64) Kernel {
	return Kernel{name, 2, func(x float64) float64 {
		x = math.Abs(x)
		switch {
		case x < 1:
			return (float64((12-float64(9*b)-float64(6*c))*x*x*x) + float64((-18+float64(12*b)+float64(6*c))*x*x) + (6 - float64(2*b))) / 6
		case x < 2:
			return (float64((-b-float64(6*c))*x*x*x) + float64((float64(6*b)+float64(30*c))*x*x) + float64((float64(-12*b)-float64(48*c))*x) + (float64(8*b) + float64(24*c))) / 6
		}
		return 0
	}}
}

// keys6 is exact for polynomials of the third degree.
func keys6(x float64) float64 {
	x = math.Abs(x)
	switch {
	case x < 1:
		return float64(4./3*x*x*x) - float64(7./3*x*x) + 1
	case x < 2:
		return float64(-7./12*x*x*x) + float64(3*x*x) - float64(59./12*x) + 15./6
	case x < 3:
		return float64(1./12*x*x*x) - float64(2./3*x*x) + float64(21./12*x) - 3./2
	}
	return 0
}

// apertured returns the kernel that undoes the aperture of the source's pixels: a pixel
// is the mean of the light over its area, which to second order is the value at its
// centre and 1/24 of the second difference there. c is that share.
func (k Kernel) apertured(c float64) Kernel {
	at := k.At
	return Kernel{k.Name, k.Support + 1, func(x float64) float64 { return float64((1+float64(2*c))*at(x)) - float64(c*(at(x-1)+at(x+1))) }}
}

// kernel returns the kernel of luma.
func (s Scale) kernel() Kernel {
	k := kernelNamed(s.Kernel)
	if s.Aperture == 0 {
		return k
	}
	return k.apertured(s.Aperture)
}

// Response returns the share of a sine's contrast that the kernel of luma keeps when
// enlarging, at f cycles a source pixel.
func (s Scale) Response(f float64) float64 { return s.kernel().response(f) }

// response returns the share of a sine's contrast that the kernel keeps when enlarging,
// at f cycles a source pixel: its Fourier transform, by the trapezium rule.
func (k Kernel) response(f float64) float64 {
	const steps = 2048
	sum, all := 0.0, 0.0
	for i := -steps; i <= steps; i++ {
		x := k.Support * float64(i) / steps
		v := k.At(x)
		sum += float64(v * exact.Cos(2*math.Pi*f*x))
		all += v
	}
	return sum / all
}
