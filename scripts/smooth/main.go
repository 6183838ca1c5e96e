// Command smooth measures what sharpening does to the noise of smooth areas, on whole
// photographs: it compares the print with all its sharpening and the same print without any,
// pixel for pixel. scripts/smooth.sh runs it.
//
// # Places
//
// A photograph is cut into squares of 32 px. A square's deviation is the standard deviation
// of its luma (ITU-R BT.601, encoded values) from the best-fitting plane. Squares that touch
// black or white, and flat ones, are left out. The others are of one of five kinds: see
// [kindOf]. Of each kind the calmest tenth is used, at most 40 squares spread over it. Those
// with a deviation of up to twice the noise that sizewright measured (the greater of shadows
// and lights) are smooth; the others hold texture and are counted separately, because
// texture such as a wall's should be sharpened.
//
// # Figure
//
// Within each square the print's pixels minus their best-fitting plane have a deviation with
// sharpening and one without. The growth of a kind is the square root of the ratio of the
// sums of their squares.
package main

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

func main() {
	scales := flag.String("scales", "0.35,0.6,1,1.5,2,3", "print pixels per pixel of the photograph, separated by commas")
	surface := flag.String("surface", config.Default().Settings("", "").Surface, "the paper's surface, which decides the sharpening")
	flag.Parse()
	if err := run(flag.Args(), strings.Split(*scales, ","), *surface); err != nil {
		fmt.Fprintln(os.Stderr, "smooth:", err)
		os.Exit(1)
	}
}

func run(files, scales []string, surface string) error {
	fmt.Println("| photograph | scale | shadow | sky | skin-like | light | middle | with texture |")
	fmt.Println("| --- | --- | --- | --- | --- | --- | --- | --- |")
	var all tally
	for _, name := range files {
		src, err := photo.Open(name, photo.DefaultLimits())
		if err != nil {
			return err
		}
		m, _ := order.Measure(src)
		places := placesOf(src, 2*max(m.Noise, m.NoiseDark))
		for _, text := range scales {
			var scale float64
			if _, err := fmt.Sscan(text, &scale); err != nil || scale <= 0 {
				return fmt.Errorf("-scales: %q is not above 0", text)
			}
			g, err := growths(src, m, places, scale, surface)
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			all.add(name, g)
			fmt.Printf("| %s | %s |%s\n", filepath.Base(name), text, g.row())
		}
	}
	all.print()
	return nil
}

// growth holds the sums of squares of one kind, without sharpening and with it.
type growth struct {
	before, after float64
	places        int
}

func (g growth) times() float64 { return math.Sqrt(g.after / g.before) }

type byKind [kinds + 1]growth // the last is for places with texture

func (g *byKind) row() (cells string) {
	for _, k := range g {
		if k.places < fewest {
			cells += " |"
		} else {
			cells += fmt.Sprintf(" %.3f |", k.times())
		}
	}
	return cells
}

// tally counts the readings of smooth places over all photographs and scales.
type tally struct {
	readings, within int
	photographs      map[string]bool
	worst            float64
	where            string
}

func (t *tally) add(name string, g byKind) {
	if t.photographs == nil {
		t.photographs = map[string]bool{}
	}
	for k, v := range g[:kinds] {
		if v.places < fewest {
			continue
		}
		t.readings++
		t.photographs[name] = true
		if v.times() <= order.NoiseGain {
			t.within++
		}
		if v.times() > t.worst {
			t.worst, t.where = v.times(), fmt.Sprintf("%s, %s", filepath.Base(name), kindNames[k])
		}
	}
}

func (t *tally) print() {
	fmt.Printf("\n%d of %d readings of smooth places, of %d photographs, are within %.2f; the greatest is %.3f (%s).\n",
		t.within, t.readings, len(t.photographs), order.NoiseGain, t.worst, t.where)
}

// growths compares the places of both prints.
func growths(src *photo.Photo, m order.Measured, places []place, scale float64, surface string) (g byKind, err error) {
	plain, _, err := rendererOf(src, m, scale, surface, false)
	if err != nil {
		return g, err
	}
	sharp, p, err := rendererOf(src, m, scale, surface, true)
	if err != nil {
		return g, err
	}
	for _, at := range places {
		x, y := int(float64(at.x+inset)*p.Scale.X), int(float64(at.y+inset)*p.Scale.Y)
		w, h := int((side-2*inset)*p.Scale.X), int((side-2*inset)*p.Scale.Y)
		k := at.kind
		if !at.smooth {
			k = kinds
		}
		g[k].places++
		g[k].before += variance(luma(plain.Region(x, y, w, h), src.Channels()), w)
		g[k].after += variance(luma(sharp.Region(x, y, w, h), src.Channels()), w)
	}
	return g, nil
}

// rendererOf plans the print in the same way as an order, except for the minimum resolution.
func rendererOf(src *photo.Photo, m order.Measured, scale float64, surface string, sharpened bool) (*render.Renderer, *order.Plan, error) {
	s := config.Default().Settings("", "")
	s.MinimumPPI, s.CautionPPI, s.Bits, s.Surface = 1, 1, 16, surface
	if !sharpened {
		s.PreSharpening, s.OutputSharpening = 0, 0
	}
	mm := func(px int) float64 { return math.Round(float64(px)*scale) / s.PPI * printsize.MMPerInch }
	o := order.Order{Size: printsize.Size{Name: "scaled", WidthMM: mm(src.Width), HeightMM: mm(src.Height)}, Settings: s}
	p := order.NewPlan(&src.Info, o).WithMeasurement(m, o)
	r, err := render.New(p.Recipe(), src, p.Profiles)
	return r, p, err
}
