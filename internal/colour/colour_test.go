package colour

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sizewright/internal/testkit/reference"
	"slices"
	"strings"
	"testing"
)

func TestMatricesArePublished(t *testing.T) {
	for _, c := range []struct {
		space RGBSpace
		want  [3][3]float64
		from  string
	}{
		{SRGB, [3][3]float64{{0.4360747, 0.3850649, 0.1430804}, {0.2225045, 0.7168786, 0.0606169}, {0.0139322, 0.0971045, 0.7141733}},
			"B. Lindbloom, RGB/XYZ matrices, sRGB adapted to D50 (from memory)"},
		{A98, [3][3]float64{{0.6097559, 0.2052401, 0.1492240}, {0.3111242, 0.6256560, 0.0632197}, {0.0194811, 0.0608902, 0.7448387}},
			"B. Lindbloom, RGB/XYZ matrices, Adobe RGB (1998) adapted to D50 (from memory)"},
		{ROMM, [3][3]float64{{0.7976749, 0.1351917, 0.0313534}, {0.2880402, 0.7118741, 0.0000857}, {0, 0, 0.8252100}},
			"B. Lindbloom, RGB/XYZ matrices, ProPhoto (from memory); ISO 22028-2 gives 0.7977 0.1352 0.0313"},
	} {
		got := c.space.Matrix()
		for i := range 3 {
			for j := range 3 {
				if math.Abs(got[i][j]-c.want[i][j]) > 4e-4 {
					t.Errorf("%s[%d][%d] = %.6f, %s says %.6f", c.space.Name, i, j, got[i][j], c.from, c.want[i][j])
				}
			}
		}
	}
}

func TestTheWhiteOfEverySpaceIsTheConnectionWhite(t *testing.T) {
	for _, s := range []RGBSpace{SRGB, A98, ROMM} {
		w := mulVec(s.Matrix(), [3]float64{1, 1, 1})
		for i := range 3 {
			if math.Abs(w[i]-D50[i]) > 1e-3 {
				t.Errorf("%s: white is %v, want %v", s.Name, w, D50)
			}
		}
	}
}

func builtins() map[string][]byte {
	return map[string][]byte{"sRGB": SRGBProfile(), "a98": A98Profile(), "ROMM": ROMMProfile()}
}

func TestBuiltInProfilesReadBack(t *testing.T) {
	for name, data := range builtins() {
		p, err := ParseProfile(data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if p.Channels != 3 || p.Name == "" {
			t.Errorf("%s: read back as %d channels, name %q", name, p.Channels, p.Name)
		}
	}
}

// Little CMS must read our profiles, and get the same colours as from colord's profiles
// of the same spaces (Debian's colord-data).
func TestLittleCMSAgreesWithOurProfiles(t *testing.T) {
	transicc := reference.Tool(t, "transicc")
	dir := t.TempDir()
	for name, ref := range map[string]string{
		"sRGB": "/usr/share/color/icc/colord/sRGB.icc",
		"a98":  "/usr/share/color/icc/colord/AdobeRGB1998.icc",
		"ROMM": "/usr/share/color/icc/colord/ProPhotoRGB.icc",
	} {
		ours := filepath.Join(dir, name+".icc")
		if err := os.WriteFile(ours, builtins()[name], 0o644); err != nil {
			t.Fatal(err)
		}
		var in strings.Builder
		for i := range 60 {
			fmt.Fprintf(&in, "%d\n%d\n%d\n", i*37%256, i*91%256, i*151%256)
		}
		a, b := labs(t, transicc, ours, in.String()), labs(t, transicc, ref, in.String())
		if len(a) != 60 || len(b) != 60 {
			t.Fatalf("%s: transicc gave %d and %d colours, want 60", name, len(a), len(b))
		}
		for i := range a {
			if d := distance(a[i], b[i]); d > 0.5 { // colord's ProPhoto has no linear part
				t.Errorf("%s, colour %d: ours is %v, colord's %v (delta E %.2f)", name, i, a[i], b[i], d)
			}
		}
	}
}

func labs(t *testing.T, transicc, profile, in string) (out [][3]float64) {
	t.Helper()
	cmd := exec.Command(transicc, "-i"+profile, "-o*Lab", "-t1", "-n")
	cmd.Stdin = strings.NewReader(in)
	text, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("transicc %s: %v\n%s", profile, err, text)
	}
	for line := range strings.Lines(string(text)) {
		var v [3]float64
		if n, _ := fmt.Sscan(line, &v[0], &v[1], &v[2]); n == 3 {
			out = append(out, v)
		}
	}
	return out
}

func distance(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

func TestToneIsTheStandardCurve(t *testing.T) {
	for _, s := range []RGBSpace{SRGB, A98, ROMM} {
		p, err := ParseProfile(s.Profile())
		if err != nil {
			t.Fatal(err)
		}
		tone, err := p.Tone()
		if err != nil {
			t.Fatal(err)
		}
		for i := range 1001 {
			v := float64(i) / 1000
			got := []float32{float32(v)}
			tone.Decode(got)
			if want := s.Decode(v); math.Abs(float64(got[0])-want) > 1e-4 {
				t.Errorf("%s: %.3f decodes to %.6f, the standard says %.6f", s.Name, v, got[0], want)
			}
			tone.Encode(got)
			if math.Abs(float64(got[0])-v) > 4e-4 {
				t.Errorf("%s: %.3f comes back as %.6f", s.Name, v, got[0])
			}
		}
	}
}

func TestSRGBIsUnchangedByTheChainToSRGB(t *testing.T) {
	p, err := ParseProfile(SRGBProfile())
	if err != nil {
		t.Fatal(err)
	}
	g, err := Chain{From: p, To: p, Intent: Relative, BlackPoint: true}.Bake()
	if err != nil {
		t.Fatal(err)
	}
	px := [][]float32{{0, 1, .2, .7, .5}, {0, 1, .9, .1, .5}, {0, 1, .4, .3, .5}}
	want := [][]float32{{0, 1, .2, .7, .5}, {0, 1, .9, .1, .5}, {0, 1, .4, .3, .5}}
	g.Apply(px, px, 5)
	for c := range px {
		for i := range px[c] {
			if math.Abs(float64(px[c][i]-want[c][i])) > 0.004 {
				t.Errorf("channel %d: %v became %v", c, want[c][i], px[c][i])
			}
		}
	}
}

func TestGridReproducesALinearFunctionExactly(t *testing.T) {
	for _, in := range []int{1, 3, 4} {
		f := func(dst, src []float64) {
			dst[0], dst[1], dst[2] = 0.1, 0, 1
			for c := range in {
				dst[0] += src[c] * 0.1 * float64(c+1)
				dst[1] += src[c] / float64(in)
				dst[2] -= src[c] * 0.2
			}
		}
		g, err := bake(slices.Repeat([][]float64{evenly(5)}, in), 3, func() (func(dst, src []float64), error) { return f, nil })
		if err != nil {
			t.Fatal(err)
		}
		want := make([]float64, 3)
		for k := range 200 {
			at := make([]float64, in)
			var src [4]float32
			for c := range in {
				at[c] = float64((k*(c+3)*17)%101) / 100
				src[c] = float32(at[c])
			}
			got := g.At(&src)
			f(want, at)
			for c := range want {
				if math.Abs(float64(got[c])-want[c]) > 1e-6 {
					t.Fatalf("%d channels at %v: channel %d is %v, want %v", in, at, c, got[c], want[c])
				}
			}
		}
	}
}

func TestBrokenProfilesAreErrorsAndNeverPanics(t *testing.T) {
	good := SRGBProfile()
	for _, n := range []int{0, 4, 127, 128, 131, 140, 200, 400, len(good) / 2} {
		if _, err := ParseProfile(good[:n]); err == nil {
			t.Errorf("a profile cut to %d bytes was accepted", n)
		}
	}
}

// No bytes of a picture's profile or a stock's may crash the program.
func FuzzProfile(f *testing.F) {
	for _, p := range builtins() {
		f.Add(p[:min(len(p), 600)])
		f.Add(p)
	}
	made := printer{leak: 0.06, gamma: 1.9}
	f.Add(made.v2())
	f.Add(made.v4())
	f.Add(GreyProfile())
	srgb := mustProfile(SRGBProfile())
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParseProfile(data)
		if err != nil {
			return
		}
		p.Tone()
		for _, c := range []Chain{{p, srgb, Relative, true}, {srgb, p, Perceptual, true}} {
			oneColour(c)
		}
	})
}

// oneColour computes a chain as Bake does, for a single colour.
func oneColour(c Chain) (err error) {
	defer recoverError(&err)
	if err := c.To.isDestination(); err != nil {
		return err
	}
	l, err := c.link()
	if err != nil {
		return err
	}
	l.even(make([]float64, 4), []float64{0.2, 0.5, 0.7, 0.1})
	return nil
}

func BenchmarkTransform(b *testing.B) {
	srgb, made := mustProfile(SRGBProfile()), mustProfile(printer{leak: 0.06, gamma: 1.9}.v2())
	chains := map[string]Chain{
		"plain":       {From: srgb, To: mustProfile(A98Profile()), Intent: Relative},
		"RGB printer": {From: srgb, To: made, Intent: Relative},
	}
	chains["CMYK press"] = Chain{From: srgb, To: mustProfile(reference.PressProfile(b)), Intent: Relative}
	for name, c := range chains {
		b.Run(name, func(b *testing.B) { benchmarkChain(b, c) })
	}
}

func benchmarkChain(b *testing.B, c Chain) {
	tr, err := c.Bake()
	if err != nil {
		b.Fatal(err)
	}
	const n = 1 << 16
	src, dst := make([][]float32, tr.In), make([][]float32, tr.Out)
	for c := range src {
		src[c] = make([]float32, n)
		for i := range src[c] {
			// Neighbours have similar colours, as in a picture enlarged twice.
			src[c][i] = float32(0.5 + 0.5*math.Sin(float64(i)/(90+31*float64(c)))*math.Sin(float64(i)/3000))
		}
	}
	for c := range dst {
		dst[c] = make([]float32, n)
	}
	b.SetBytes(n)
	for b.Loop() {
		tr.Apply(dst, src, n)
	}
}

func mustProfile(data []byte) *Profile {
	p, err := ParseProfile(data)
	if err != nil {
		panic(err)
	}
	return p
}

func TestTheFastLoopIsTheSlowOneBitForBit(t *testing.T) {
	made := mustProfile(printer{leak: 0.06, gamma: 1.9}.v2())
	tr, err := Chain{From: mustProfile(SRGBProfile()), To: made, Intent: Relative}.Bake()
	if err != nil {
		t.Fatal(err)
	}
	colours := testColours(3, 20000)
	src, fast, slow := make([][]float32, 3), make([][]float32, 3), make([][]float32, 3)
	for k := range src {
		src[k] = make([]float32, len(colours))
		fast[k], slow[k] = make([]float32, len(colours)), make([]float32, len(colours))
		for i, c := range colours {
			src[k][i] = float32(c[k])
		}
	}
	tr.applyRGB(fast, src, len(colours))
	tr.applyAny(slow, src, len(colours))
	for k := range fast {
		for i := range fast[k] {
			if fast[k][i] != slow[k][i] {
				t.Fatalf("%v, channel %d: %v fast, %v slow", colours[i], k, fast[k][i], slow[k][i])
			}
		}
	}
}
