package tiff

import (
	"fmt"
	"math"
	"math/big"
)

// Rational is a TIFF RATIONAL: Num/Den. The zero value is not a number.
type Rational struct{ Num, Den uint32 }

// String formats r as a fraction, such as "720/1".
func (r Rational) String() string { return fmt.Sprintf("%d/%d", r.Num, r.Den) }

// RationalPPI returns ppi (pixels per inch) as a fraction in lowest terms. It is exact
// for every decimal of up to four places in the range of TIFF's fractions (0.0001 to
// 429,496.7295) and for simple fractions such as 1000/3. For other values it is the
// last convergent of the continued fraction that fits in 32 bits; no fraction with a
// smaller denominator is nearer. A ppi that is not positive, not finite or out of range
// gives the zero Rational, which [Header.Validate] rejects.
//
// Why a convergent finds the decimal p/q with q at most 10,000: a fraction nearer to a
// number than 1/(2q*q), here 5e-9, is one of its convergents (Legendre; Hardy and
// Wright, An Introduction to the Theory of Numbers, theorem 184), and ppi is within
// half a unit in the last place of p/q, at most 3e-11 below 429,497. No earlier
// convergent equals ppi: it would differ from p/q by at least 1/(q*q).
func RationalPPI(ppi float64) Rational {
	if !(ppi > 0 && ppi <= math.MaxUint32) {
		return Rational{}
	}
	exact := new(big.Rat).SetFloat64(ppi)
	a, b := new(big.Int).Set(exact.Num()), new(big.Int).Set(exact.Denom())
	num, den := uint64(1), uint64(0) // convergent before the first
	lastNum, lastDen := uint64(0), uint64(1)
	quotient, rest := new(big.Int), new(big.Int)
	for b.Sign() != 0 {
		quotient.QuoRem(a, b, rest)
		if !quotient.IsUint64() || quotient.Uint64() > math.MaxUint32 {
			break
		}
		q := quotient.Uint64()
		n, d := q*num+lastNum, q*den+lastDen // below 2^64: all factors are below 2^32
		if n > math.MaxUint32 || d > math.MaxUint32 {
			break
		}
		num, den, lastNum, lastDen = n, d, num, den
		if float64(num)/float64(den) == ppi {
			break
		}
		a, b, rest = b, rest, a
	}
	if num == 0 || den == 0 {
		return Rational{}
	}
	return Rational{Num: uint32(num), Den: uint32(den)}
}
