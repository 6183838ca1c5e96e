package colour

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sizewright/internal/testkit/reference"
	"strings"
	"testing"
	"text/tabwriter"
)

// named is a parsed profile, and its file for the reference program.
type named struct {
	name, file string
	*Profile
}

// profilesUnderTest returns the profiles for which conversions are checked.
func profilesUnderTest(t *testing.T) []named {
	t.Helper()
	reference.Tool(t, "transicc")
	press := reference.PressProfile(t)
	made := printer{leak: 0.06, gamma: 1.9}
	data := map[string][]byte{"press": press, "printer v2": made.v2(), "printer v4": made.v4()}
	var out []named
	for _, name := range []string{"sRGB", "AdobeRGB1998", "ProPhotoRGB", "ECI-RGBv2", "press", "printer v2", "printer v4"} {
		n := named{name: name}
		var err error
		if data[name] == nil {
			if data[name], err = os.ReadFile("/usr/share/color/icc/colord/" + name + ".icc"); err != nil {
				t.Fatal(err)
			}
		}
		n.file = filepath.Join(t.TempDir(), strings.ReplaceAll(name, " ", "-")+".icc")
		if err := os.WriteFile(n.file, data[name], 0o644); err != nil {
			t.Fatal(err)
		}
		if n.Profile, err = ParseProfile(data[name]); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out = append(out, n)
	}
	return out
}

// testColours returns random colours, and corners, axes, neutrals and very dark colours.
func testColours(channels, n int) [][]float64 {
	r := rand.New(rand.NewPCG(3, 5))
	var all [][]float64
	for i := range 1 << channels {
		c := make([]float64, channels)
		for k := range c {
			c[k] = float64(i >> k & 1)
		}
		all = append(all, c)
	}
	for i := range 400 {
		v := float64(i) / 399
		neutral, axis, dark := make([]float64, channels), make([]float64, channels), make([]float64, channels)
		axis[i%channels] = v
		for k := range neutral {
			neutral[k], dark[k] = v, r.Float64()*0.05
		}
		all = append(all, neutral, axis, dark)
	}
	for len(all) < n {
		c := make([]float64, channels)
		for k := range c {
			c[k] = r.Float64()
		}
		if len(all)%3 == 0 { // on the surface of the cube
			c[r.IntN(channels)] = float64(r.IntN(2))
		}
		all = append(all, c)
	}
	return all
}

// byLittleCMS converts colours with transicc, in floating point and without its own grids.
func byLittleCMS(t *testing.T, from, to named, intent Intent, blackPoint bool, colours [][]float64) [][]float64 {
	t.Helper()
	args := []string{"-n", "-c0", "-i" + from.file, "-o" + to.file, "-t" + map[Intent]string{Perceptual: "0", Relative: "1", Saturation: "2", Absolute: "3"}[intent]}
	if blackPoint {
		args = append(args, "-b")
	}
	scale := func(channels int) float64 {
		if channels == 4 {
			return 100
		}
		return 255
	}
	var in bytes.Buffer
	for _, c := range colours {
		for _, v := range c {
			fmt.Fprintf(&in, "%.6f\n", v*scale(from.Channels))
		}
	}
	cmd := exec.Command(reference.Tool(t, "transicc"), args...)
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc %v: %v", args, err)
	}
	var got [][]float64
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		if len(fields) != to.Channels {
			continue
		}
		c := make([]float64, 4)
		for i, f := range fields {
			fmt.Sscan(f, &c[i])
			c[i] = min(max(c[i]/scale(to.Channels), 0), 1)
		}
		got = append(got, c)
	}
	if len(got) != len(colours) {
		t.Fatalf("transicc gave %d colours for %d", len(got), len(colours))
	}
	return got
}

// difference compares two sets of device values as colours of the profile.
func differences(t *testing.T, to named, a, b [][]float64) (mean, worst float64, at int) {
	t.Helper()
	for i, d := range eachDifference(t, to, a, b) {
		mean += d / float64(len(a))
		if d > worst {
			worst, at = d, i
		}
	}
	return mean, worst, at
}

// eachDifference returns the CIEDE2000 difference of each pair of device values.
func eachDifference(t *testing.T, to named, a, b [][]float64) []float64 {
	t.Helper()
	colour, err := to.toXYZ(Relative)
	if err != nil {
		t.Fatal(err)
	}
	d := make([]float64, len(a))
	for i := range a {
		d[i] = deltaE(colour(a[i]).Lab(), colour(b[i]).Lab())
	}
	return d
}

func baked(t *testing.T, c Chain, colours [][]float64) [][]float64 {
	t.Helper()
	tr, err := c.Bake()
	if err != nil {
		t.Fatal(err)
	}
	return applied(tr, colours)
}

func applied(tr *Transform, colours [][]float64) [][]float64 {
	src, dst := make([][]float32, tr.In), make([][]float32, tr.Out)
	for k := range src {
		src[k] = make([]float32, len(colours))
		for i := range colours {
			src[k][i] = float32(colours[i][k])
		}
	}
	for k := range dst {
		dst[k] = make([]float32, len(colours))
	}
	tr.Apply(dst, src, len(colours))
	out := make([][]float64, len(colours))
	for i := range out {
		out[i] = make([]float64, 4)
		for k := range dst {
			out[i][k] = float64(dst[k][i])
		}
	}
	return out
}

// Limits for the mean and the worst difference of a baked chain.
const (
	bakedMean  = 0.1
	bakedWorst = 0.5
)

// Pairs of profiles by one of the four ways, which change from pair to pair: each
// profile meets all four, as source and as destination. A table from inks takes long, so
// two of its six pairs are left out.
func TestBakedChainsAgreeWithLittleCMS(t *testing.T) {
	all := profilesUnderTest(t)
	var table bytes.Buffer
	w := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "from\tto\tintent\tmean CIEDE2000\tworst")
	type way struct {
		intent Intent
		black  bool
	}
	ways := []way{{Relative, true}, {Perceptual, false}, {Relative, false}, {Absolute, false}}
	for i, from := range all {
		colours := testColours(from.Channels, 5000)
		for k, to := range all {
			if i == k || from.Channels == 4 && (k == 1 || k == 6) {
				continue
			}
			c := ways[(i+k)%len(ways)]
			want := byLittleCMS(t, from, to, c.intent, c.black, colours)
			got := baked(t, Chain{from.Profile, to.Profile, c.intent, c.black}, colours)
			mean, worst, at := differences(t, to, got, want)
			label := string(c.intent)
			if c.black {
				label += ", black point"
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%.4f\t%.3f\n", from.name, to.name, label, mean, worst)
			if mean > bakedMean || worst > bakedWorst || math.IsNaN(mean) {
				t.Errorf("%s to %s, %s: mean %.4f, worst %.3f at %.4f: %.4f, Little CMS %.4f", from.name, to.name, label, mean, worst, colours[at], got[at], want[at])
			}
		}
	}
	w.Flush()
	t.Log("\n" + table.String())
}

// What conversions make of colours, for comparing instruction sets and platforms. The lattices are
// coarse, since a full one takes half a minute under emulation.
func TestTheDigestOfConversions(t *testing.T) {
	defer func(full map[int]int) { gridSide = full }(gridSide)
	gridSide = map[int]int{1: 65, 3: 7, 4: 4}
	press, made := mustProfile(reference.PressProfile(t)), printer{leak: 0.06, gamma: 1.9}
	v2, v4 := mustProfile(made.v2()), mustProfile(made.v4())
	for _, c := range []struct {
		name string
		Chain
	}{
		{"sRGB to inks", Chain{BuiltInSRGB(), press, Relative, true}},
		{"sRGB to inks, perceptual", Chain{BuiltInSRGB(), press, Perceptual, false}},
		{"ROMM to inks, absolute", Chain{BuiltInROMM(), press, Absolute, false}},
		{"inks to sRGB", Chain{press, BuiltInSRGB(), Relative, false}},
		{"inks to a printer", Chain{press, v4, Relative, true}},
		{"a printer to Adobe RGB", Chain{v2, BuiltInA98(), Relative, true}},
		{"sRGB to a printer, perceptual", Chain{BuiltInSRGB(), v4, Perceptual, false}},
		{"sRGB to ROMM", Chain{BuiltInSRGB(), BuiltInROMM(), Relative, true}},
	} {
		tr, err := c.bake()
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.New()
		for _, colour := range applied(tr, testColours(tr.In, 2000)) {
			fmt.Fprintln(sum, colour)
		}
		t.Logf("sha256 %x %s", sum.Sum(nil), c.name)
	}
}
