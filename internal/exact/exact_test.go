package exact

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
)

// ulps returns how many float64 are between a and b.
func ulps(a, b float64) uint64 {
	if a == b || math.IsNaN(a) && math.IsNaN(b) {
		return 0
	}
	if math.Signbit(a) != math.Signbit(b) {
		return math.MaxUint64
	}
	d := int64(math.Float64bits(a) - math.Float64bits(b))
	return uint64(max(d, -d))
}

// Every function equals math's to the last bit, and Pow to the last three. On amd64
// math's Exp, Log and Hypot are assembly, and the others are the same plain Go without
// fused instructions.
func TestEveryFunctionIsMathsToOneUlp(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	wide := func() float64 { return (r.Float64() - 0.5) * math.Exp2(float64(r.IntN(40)-12)) }
	positive := func() float64 { return math.Abs(wide()) }
	one := []struct {
		name      string
		got, want func(float64) float64
		from      func() float64
	}{
		{"Exp", Exp, math.Exp, func() float64 { return (r.Float64() - 0.5) * 1400 }},
		{"Exp near 0", Exp, math.Exp, wide},
		{"Exp2", Exp2, math.Exp2, func() float64 { return (r.Float64() - 0.5) * 2000 }},
		{"Log", Log, math.Log, positive},
		{"Log2", Log2, math.Log2, positive},
		{"Log10", Log10, math.Log10, positive},
		{"Cbrt", Cbrt, math.Cbrt, wide},
		{"Atan", Atan, math.Atan, wide},
		{"Sin", Sin, math.Sin, wide},
		{"Cos", Cos, math.Cos, wide},
	}
	// Elsewhere math is compiled with fused products, whose last bits move it away. Near 1
	// a logarithm to another base is a small difference of numbers around 1, and such bits
	// count for more there.
	most, atOne := uint64(1), 0.0
	if runtime.GOARCH != "amd64" {
		most, atOne = 64, 0x1p-51
	}
	special := []float64{0, math.Copysign(0, -1), 1, -1, 0.5, 1e-300, -1e-300, 1e300, 5e-324, math.Inf(1), math.Inf(-1), math.NaN(), 1e12, math.MaxFloat64}
	for _, f := range one {
		for i := range 20000 {
			x := 0.0
			if i < len(special) {
				x = special[i]
			} else {
				x = f.from()
			}
			if math.Abs(x) == 5e-324 && f.name[:3] == "Log" {
				continue // math's assembly for amd64 takes it for a normal number
			}
			got, want := f.got(x), f.want(x)
			if (f.name == "Sin" || f.name == "Cos") && math.Abs(x) >= maxAngle {
				want = math.NaN()
			}
			if ulps(got, want) > most && !(math.Abs(got-want) <= atOne) {
				t.Errorf("%s(%v) = %v, math has %v", f.name, x, got, want)
				break
			}
		}
	}
	two := []struct {
		name      string
		got, want func(x, y float64) float64
		x, y      func() float64
		most      uint64 // ulps apart: in Pow, a last bit of Exp and of Log goes on through products
	}{
		{"Pow", Pow, math.Pow, func() float64 { return 2 * r.Float64() }, func() float64 { return (r.Float64() - 0.2) * 8 }, 8},
		{"Atan2", Atan2, math.Atan2, wide, wide, 1},
		{"Hypot", Hypot, math.Hypot, wide, wide, 1},
	}
	for _, f := range two {
		for i := range 20000 {
			x, y := f.x(), f.y()
			if n := len(special); i < n*n {
				x, y = special[i%n], special[i/n]
			}
			if got, want := f.got(x, y), f.want(x, y); ulps(got, want) > f.most*most {
				t.Errorf("%s(%v, %v) = %v, math has %v", f.name, x, y, got, want)
				break
			}
		}
	}
}

// The digest is of the bits on amd64; scripts/test.sh runs this test on arm64 too.
func TestTheBitsAreTheSameOnEveryPlatform(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	h := sha256.New()
	for range 5000 {
		x, y := float64(20*r.Float64())-10, float64(6*r.Float64())
		for _, v := range []float64{
			Exp(x), Exp2(x), Log(y), Log2(y), Log10(y), Cbrt(x), Atan(x), Sin(x), Cos(x),
			Pow(y, x), Atan2(x, y), Hypot(x, y),
		} {
			h.Write(binary.BigEndian.AppendUint64(nil, math.Float64bits(v)))
		}
	}
	const want = "19ce8df881990515a34228e582b2c5a4304b0956d95686e9fcd53e7eb3bc1c78"
	if got := hex.EncodeToString(h.Sum(nil)); got != want {
		t.Errorf("the functions' bits are %s, want %s", got, want)
	}
}

// Values of M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, National
// Bureau of Standards (1964): chapter 1, tables of constants, and chapter 4; exact
// values from geometry beside them.
func TestPublishedValues(t *testing.T) {
	for _, v := range []struct {
		what      string
		got, want float64
	}{
		{"e", Exp(1), 2.718281828459045235360},
		{"exp(-1)", Exp(-1), 0.367879441171442321596},
		{"ln 2", Log(2), 0.693147180559945309417},
		{"ln 10", Log(10), 2.302585092994045684018},
		{"log10 e", Log10(math.E), 0.434294481903251827651},
		{"log2 8", Log2(8), 3},
		{"cube root of 2", Cbrt(2), 1.259921049894873164767},
		{"cube root of 27", Cbrt(27), 3},
		{"root of 2", Pow(2, 0.5), 1.414213562373095048802},
		{"2^(1/4)", Pow(2, 0.25), 1.189207115002721066717},
		{"sin 1", Sin(1), 0.841470984807896506653},
		{"cos 1", Cos(1), 0.540302305868139717401},
		{"arctan 1", Atan(1), 0.785398163397448309616},
		{"arctan of -1, -1", Atan2(-1, -1), -2.356194490192344928847},
		{"3, 4, 5", Hypot(3, 4), 5},
	} {
		if ulps(v.got, v.want) > 1 {
			t.Errorf("%s is %.18g, want %.18g", v.what, v.got, v.want)
		}
	}
}

// A product is the one of the definition, each of its products rounded by itself.
func TestTimes(t *testing.T) {
	if got := Times(complex(1, 2), complex(3, 4)); got != complex(-5, 10) {
		t.Error(got)
	}
	// 1 + 2^-30 squared needs 61 bits: rounded apart the difference is 0, fused it is not.
	x := 1 + math.Exp2(-30)
	if got := Times(complex(x, x), complex(x, x)); real(got) != 0 {
		t.Errorf("the products are fused: %v", got)
	}
}
