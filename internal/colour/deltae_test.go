package colour

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sizewright/internal/testkit/reference"
	"strconv"
	"testing"
)

// sharma is table 1 of Sharma, Wu and Dalal (2005): pairs of colours and their CIEDE2000,
// chosen to show the usual mistakes of implementations.
var sharma = [34][7]float64{
	{50, 2.6772, -79.7751, 50, 0, -82.7485, 2.0425},
	{50, 3.1571, -77.2803, 50, 0, -82.7485, 2.8615},
	{50, 2.8361, -74.0200, 50, 0, -82.7485, 3.4412},
	{50, -1.3802, -84.2814, 50, 0, -82.7485, 1.0000},
	{50, -1.1848, -84.8006, 50, 0, -82.7485, 1.0000},
	{50, -0.9009, -85.5211, 50, 0, -82.7485, 1.0000},
	{50, 0, 0, 50, -1, 2, 2.3669},
	{50, -1, 2, 50, 0, 0, 2.3669},
	{50, 2.4900, -0.0010, 50, -2.4900, 0.0009, 7.1792},
	{50, 2.4900, -0.0010, 50, -2.4900, 0.0010, 7.1792},
	{50, 2.4900, -0.0010, 50, -2.4900, 0.0011, 7.2195},
	{50, 2.4900, -0.0010, 50, -2.4900, 0.0012, 7.2195},
	{50, -0.0010, 2.4900, 50, 0.0009, -2.4900, 4.8045},
	{50, -0.0010, 2.4900, 50, 0.0010, -2.4900, 4.8045},
	{50, -0.0010, 2.4900, 50, 0.0011, -2.4900, 4.7461},
	{50, 2.5, 0, 50, 0, -2.5, 4.3065},
	{50, 2.5, 0, 73, 25, -18, 27.1492},
	{50, 2.5, 0, 61, -5, 29, 22.8977},
	{50, 2.5, 0, 56, -27, -3, 31.9030},
	{50, 2.5, 0, 58, 24, 15, 19.4535},
	{50, 2.5, 0, 50, 3.1736, 0.5854, 1.0000},
	{50, 2.5, 0, 50, 3.2972, 0, 1.0000},
	{50, 2.5, 0, 50, 1.8634, 0.5757, 1.0000},
	{50, 2.5, 0, 50, 3.2592, 0.3350, 1.0000},
	{60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644},
	{63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.2630},
	{61.2901, 3.7196, -5.3901, 61.4292, 2.2480, -4.9620, 1.8731},
	{35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645},
	{22.7233, 20.0904, -46.6940, 23.0331, 14.9730, -42.5619, 2.0373},
	{36.4612, 47.8580, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146},
	{90.8027, -2.0831, 1.4410, 91.1528, -1.6435, 0.0447, 1.4441},
	{90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381},
	{6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377},
	{2.0776, 0.0795, -1.1350, 0.9033, -0.0636, -0.5514, 0.9082},
}

func TestDeltaEIsThePublishedTable(t *testing.T) {
	for i, p := range sharma {
		a, b := Lab(p[:3]), Lab(p[3:6])
		if got := deltaE(a, b); math.Abs(got-p[6]) > 1e-4 {
			t.Errorf("pair %d: %.4f, Sharma, Wu and Dalal give %.4f", i+1, got, p[6])
		}
		if there, back := deltaE(a, b), deltaE(b, a); math.Abs(there-back) > 1e-12 {
			t.Errorf("pair %d: %v one way, %v the other", i+1, there, back)
		}
	}
}

func randomLab(r *rand.Rand) Lab {
	return Lab{100 * r.Float64(), 240*r.Float64() - 120, 240*r.Float64() - 120}
}

func TestDeltaEIsSymmetricAndZeroOnlyForEquals(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		a := randomLab(r)
		b := Lab{a[0] + r.NormFloat64(), a[1] + r.NormFloat64(), a[2] + r.NormFloat64()}
		if d := deltaE(a, a); d != 0 {
			t.Fatalf("%v is %v from itself", a, d)
		}
		there, back := deltaE(a, b), deltaE(b, a)
		if math.Abs(there-back) > 1e-9 || there <= 0 {
			t.Fatalf("%v to %v is %v, back is %v", a, b, there, back)
		}
	}
}

func TestDifferenceSaysWhichWay(t *testing.T) {
	red := Lab{45, 70, 40}
	for _, c := range []struct {
		what string
		to   Lab
		axis int
		sign float64
	}{
		{"lighter", Lab{50, 70, 40}, 0, 1},
		{"darker", Lab{40, 70, 40}, 0, -1},
		{"duller", Lab{45, 63, 36}, 1, -1},
		{"stronger", Lab{45, 77, 44}, 1, 1},
		{"towards yellow", Lab{45, 65, 47.70}, 2, 1},
		{"towards purple", Lab{45, 74, 32.03}, 2, -1},
	} {
		var d [3]float64
		d[0], d[1], d[2] = difference(red, c.to)
		if d[c.axis]*c.sign <= 0.5 {
			t.Errorf("%s: the terms are %.2f", c.what, d)
		}
		for i, v := range d {
			if i != c.axis && math.Abs(v) > 0.2*math.Abs(d[c.axis]) {
				t.Errorf("%s: term %d stirs too: %.2f", c.what, i, d)
			}
		}
	}
}

// libvips has its own CIEDE2000. (Its mean of two hues on either side of red whose sum is
// below 360 degrees is |h1+h2-360|/2, which is not equation 14: such pairs are left out.)
func TestLibvipsAgreesOnDeltaE(t *testing.T) {
	vips := reference.Tool(t, "vips")
	const n = 2000
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	run := func(args ...string) {
		t.Helper()
		if text, err := exec.Command(vips, args...).CombinedOutput(); err != nil {
			t.Fatalf("vips %v: %v\n%s", args, err, text)
		}
	}
	r := rand.New(rand.NewPCG(3, 4))
	var side [2][n]Lab
	for i := range n {
		side[0][i], side[1][i] = randomLab(r), randomLab(r)
	}
	for k, name := range []string{"a", "b"} {
		var raw bytes.Buffer
		for _, c := range side[k] {
			binary.Write(&raw, binary.LittleEndian, [3]float32{float32(c[0]), float32(c[1]), float32(c[2])})
		}
		if err := os.WriteFile(at(name+".raw"), raw.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		run("rawload", at(name+".raw"), at(name+".v"), strconv.Itoa(n), "1", "3", "--format", "float")
		run("copy", at(name+".v"), at(name+"lab.v"), "--interpretation", "lab")
	}
	run("dE00", at("alab.v"), at("blab.v"), at("d.v"))
	run("rawsave", at("d.v"), at("d.raw"))
	raw, err := os.ReadFile(at("d.raw"))
	if err != nil || len(raw) != 4*n {
		t.Fatalf("vips gave %d bytes (%v), want %d", len(raw), err, 4*n)
	}
	compared := 0
	for i := range n {
		if straddles(side[0][i], side[1][i]) {
			continue
		}
		compared++
		theirs := float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:])))
		if ours := deltaE(side[0][i], side[1][i]); math.Abs(ours-theirs) > 2e-3 {
			t.Errorf("%.3f to %.3f: ours %.4f, libvips %.4f", side[0][i], side[1][i], ours, theirs)
		}
	}
	if compared < n/2 {
		t.Errorf("only %d pairs were compared", compared)
	}
}

// straddles reports whether the shorter way between two hues crosses 0 and their sum is
// below 360 degrees.
func straddles(a, b Lab) bool {
	g := 1 + stretch((a.Chroma()+b.Chroma())/2)
	_, h1 := polar(g*a[1], a[2])
	_, h2 := polar(g*b[1], b[2])
	return math.Abs(h1-h2) > 180 && h1+h2 < 360
}

func BenchmarkDeltaE(b *testing.B) {
	x, y := Lab{45, 70, 40}, Lab{44, 62, 39}
	for b.Loop() {
		deltaE(x, y)
	}
}
