// Package exact holds the functions of package math from which weights, tables and
// decisions are computed, with the same bits on every platform. The other functions of
// math are exact everywhere: Sqrt, Floor, Round, FMA, Mod, Frexp and the like.
//
// The last bit of math's results differs between platforms, for two reasons. Some
// platforms have assembly for Exp, Log or Hypot. And where the processor can compute
// x*y + z in one instruction that rounds once, as on arm64, the compiler uses it, also in
// the standard library. The Go specification forbids that where a product is converted,
// so these functions convert every product: float64(x*y) + z.
//
// The algorithms and the code are those of Go's standard library in plain Go, with its
// license in LICENSE. Exp and Log come from FreeBSD's msun (FDLIBM), Sin, Cos, Atan and
// Pow from the Cephes library of Stephen L. Moshier, as each file says. Results are
// within 1 ulp of math's, those of Pow within 8. Functions that nothing here needs are
// left out, and so is the reduction of huge angles: see [Sincos].
//
// The same rule holds in every package that makes pixels or decides. scripts/test.sh
// looks for fused instructions in their arm64 code, and compares prints.
package exact

// Times returns a*b. The built-in product of complex numbers may be fused.
func Times(a, b complex128) complex128 {
	return complex(
		float64(real(a)*real(b))-float64(imag(a)*imag(b)),
		float64(real(a)*imag(b))+float64(imag(a)*real(b)))
}

// Scaled returns v*s.
func Scaled(v complex128, s float64) complex128 {
	return complex(float64(real(v)*s), float64(imag(v)*s))
}

// Rect returns r*exp(i*angle), the angle in radians.
func Rect(r, angle float64) complex128 {
	s, c := Sincos(angle)
	return complex(float64(r*c), float64(r*s))
}

// AbsComplex returns the magnitude of v.
func AbsComplex(v complex128) float64 { return Hypot(real(v), imag(v)) }
