// Package exact holds the functions of package math that weights, tables and decisions
// come from, so that they are the same bits on every platform. What is left to math
// itself is exact everywhere: Sqrt, Floor, Round, FMA, Mod, Frexp and the like.
//
// Package math differs in the last bit between platforms, for two reasons. Some have
// assembly for Exp, Log or Hypot. And where x*y + z may be one instruction that rounds
// once, as on arm64, the compiler uses it, in the standard library too. The Go
// specification forbids that where a product is converted: float64(x*y) + z. These
// functions say so at every product.
//
// The algorithms are those of Go's standard library in plain Go, and the code is taken
// from it, with its license beside it (LICENSE). Exp, Expm1 and Log come from FreeBSD's
// msun (FDLIBM), Sin, Cos, Tan, Atan and Pow from the Cephes library of Stephen L.
// Moshier, as each file says. Results are within 1 ulp of math's,
// and those of Pow within 8.
//
// The same rule holds in every package that makes pixels or decides: the script of
// tests looks for fused instructions in their arm64 code, and compares prints.
package exact

// Times is a*b. The built-in product of complex numbers may be fused.
func Times(a, b complex128) complex128 {
	return complex(
		float64(real(a)*real(b))-float64(imag(a)*imag(b)),
		float64(real(a)*imag(b))+float64(imag(a)*real(b)))
}

// Scaled is v*s.
func Scaled(v complex128, s float64) complex128 {
	return complex(float64(real(v)*s), float64(imag(v)*s))
}

// Rect is r*exp(i*angle), the angle in radians.
func Rect(r, angle float64) complex128 {
	s, c := Sincos(angle)
	return complex(float64(r*c), float64(r*s))
}

// AbsComplex is the length of v.
func AbsComplex(v complex128) float64 { return Hypot(real(v), imag(v)) }
