package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/filename"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

type stripFlags struct {
	studio, sheet, out, sizes, enlarge, at string
	asJSON                                 bool
}

func stripCommand() *cobra.Command {
	var f stripFlags
	c := &cobra.Command{
		Use:   "strip FILE SIZE",
		Short: "Make a test strip: key places of a print at true scale on one small sheet",
		Long: "Make a test strip: key places of a print at true scale on one small sheet, with three amounts of\n" +
			"sharpening, at several sizes or enlarged in several ways. The places are chosen by measurement:\n" +
			"the finest detail, the smoothest gradient, the deepest shadow and, for a stock with a profile, the\n" +
			"worst gamut miss.",
		Example: "  sizewright strip marsh.jpg \"40x60in lustre\" --studio ~/studio\n  sizewright strip marsh.jpg A2 --sizes A3,A2,24x36in --at 2100,1340",
		Args:    exactly(2),
		RunE:    func(c *cobra.Command, args []string) error { return strip(c, args[0], args[1], f) },
	}
	studioFlag(c, &f.studio, "", "the `directory` of the studio whose settings to use (default: the built-in settings)")
	c.Flags().StringVar(&f.sheet, "sheet", "A4", "the `size` of the sheet")
	c.Flags().StringVar(&f.out, "out", "", "the new TIFF `file` (default: FILE.strip.tif in the current directory, with a number if that exists)")
	c.Flags().StringVar(&f.sizes, "sizes", "", "a `list` of sizes, separated by commas, instead of sharpening amounts")
	c.Flags().StringVar(&f.enlarge, "enlarge", "", "a `list` of ways to enlarge, kernel and learned, instead of sharpening amounts")
	c.Flags().StringVar(&f.at, "at", "", "your own `places` in picture pixels, such as 2100,1340, separated by spaces")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the layout as JSON")
	return c
}

func strip(c *cobra.Command, file, folder string, f stripFlags) error {
	if err := present(file); err != nil {
		return err
	}
	sheet, err := printsize.ParseSize(f.sheet)
	if err != nil {
		return argumentError{err}
	}
	desk, err := deskOf(c.ErrOrStderr(), f.studio)
	if err != nil {
		return err
	}
	variants, err := f.variants(desk, folder)
	if err != nil {
		return err
	}
	out := f.out
	if out == "" {
		base := filepath.Base(file)
		out = freeName(filename.Safe(strings.TrimSuffix(base, filepath.Ext(base))) + ".strip.tif")
	}
	if err := newFile("--out", out, ".tif", ".tiff"); err != nil {
		return err
	}
	src, err := desk.Open(c.Context(), file)
	if err != nil {
		return err
	}
	defer src.Close()
	tellCautions(c.ErrOrStderr(), filepath.Base(file), &src.Info)
	measured, spectrum := order.Measure(src, ordersOf(variants)...)
	places, err := f.places(src, spectrum, variants[0].order.Output)
	if err != nil {
		return err
	}
	width, height := sheet.Fit(len(variants) > len(places))
	s, err := render.NewStrip(stripTitle(file, folder, variants[0].order, time.Now()), sheet.Name, width, height, places, columns(variants, src, measured))
	if err != nil {
		return argumentError{err}
	}
	if err := writeWhole(out, func(f *os.File) error { return s.WriteTIFF(f, src) }); err != nil {
		return err
	}
	if f.asJSON {
		return printJSON(c.OutOrStdout(), s)
	}
	return tellStrip(c.OutOrStdout(), out, s)
}

// variant is an order whose print is a column, with its label.
type variant struct {
	label string
	order order.Order
}

func ordersOf(variants []variant) []order.Order {
	all := make([]order.Order, len(variants))
	for i, v := range variants {
		all[i] = v.order
	}
	return all
}

// columns returns the prints of a picture for the variants. A print that would be held is
// included: a strip shows what a size would look like.
func columns(variants []variant, src *photo.Photo, m order.Measured) []render.Variant {
	all := make([]render.Variant, len(variants))
	for i, v := range variants {
		o := v.order
		o.Media, o.Settings.TooSmall = nil, config.TooSmallHold // which is the size asked for
		p := order.NewPlan(&src.Info, o).WithMeasurement(m, o)
		if l := p.Scale.Learned; o.Settings.Enlarge == config.EnlargeLearned {
			v.label += fmt.Sprintf(" (%.0f %% added)", 100*l.Share)
		}
		all[i] = render.Variant{Label: v.label, Enlarge: o.Settings.Enlarge, Size: o.Size.Name, Sharpen: o.Settings.OutputSharpening, Recipe: p.Recipe(), Profiles: p.Profiles}
	}
	return all
}

// variants returns the columns: 0.5, 1 and 1.5 times the sharpening of the order, or the
// given sizes or ways to enlarge.
func (f stripFlags) variants(desk *order.Desk, folder string) ([]variant, error) {
	asked := func(folder string) (order.Order, error) {
		o, err := desk.Asked(folder)
		var no order.FolderError
		if errors.As(err, &no) {
			err = noSize(err)
		}
		return o, err
	}
	base, err := asked(folder)
	if err != nil {
		return nil, err
	}
	var all []variant
	switch {
	case f.enlarge != "" && f.sizes != "":
		return nil, argumentError{errors.New("--enlarge and --sizes do not go together: give one of them")}
	case f.enlarge != "":
		for _, way := range strings.Split(f.enlarge, ",") {
			o := base
			o.Settings.Enlarge = strings.TrimSpace(way)
			if o.Settings.Enlarge != config.EnlargeKernel && o.Settings.Enlarge != config.EnlargeLearned {
				return nil, argumentError{fmt.Errorf("--enlarge: %q is not a way to enlarge: give %s, %s or both", way, config.EnlargeKernel, config.EnlargeLearned)}
			}
			all = append(all, variant{base.Size.Name + ", " + o.Settings.Enlarge, o})
		}
		return all, nil
	case f.sizes == "":
		for _, times := range []float64{0.5, 1, 1.5} {
			o := base
			o.Settings.OutputSharpening = min(base.Settings.OutputSharpening*times, 2)
			all = append(all, variant{fmt.Sprintf("%s, sharpening %.2g", base.Size.Name, o.Settings.OutputSharpening), o})
		}
		return all, nil
	}
	for _, name := range strings.Split(f.sizes, ",") {
		o, err := asked(strings.TrimSpace(strings.TrimSpace(name) + " " + base.Stock))
		if err != nil {
			return nil, err
		}
		o.Settings.PPI = base.Settings.PPI // they share a sheet
		all = append(all, variant{o.Size.Name, o})
	}
	return all, nil
}

func (f stripFlags) places(src *photo.Photo, spectrum *detail.Spectrum, o order.Output) ([]render.Place, error) {
	if f.at == "" {
		gamut, err := gamutOf(src, o)
		return render.StripPlaces(src, spectrum, gamut), err
	}
	var all []render.Place
	for _, text := range strings.Fields(f.at) {
		xs, ys, _ := strings.Cut(text, ",")
		x, errX := strconv.ParseFloat(xs, 64)
		y, errY := strconv.ParseFloat(ys, 64)
		if errX != nil || errY != nil || x < 0 || y < 0 || x >= float64(src.Width) || y >= float64(src.Height) {
			return nil, argumentError{fmt.Errorf("--at: %q is not a place in a picture of %d x %d px: give it in the form 2100,1340", text, src.Width, src.Height)}
		}
		all = append(all, render.Place{Name: text, Why: "chosen by you", X: x, Y: y})
	}
	return all, nil
}

// gamutOf returns how far the picture's colours miss the paper; nil if that is not known.
func gamutOf(src *photo.Photo, o order.Output) (*colour.Gamut, error) {
	if o.Profile == nil {
		return nil, nil
	}
	m, err := order.MeasureGamut(src, o)
	switch {
	case errors.Is(err, order.ErrNoColours):
		return nil, nil
	case err != nil:
		return nil, err
	}
	g := m.Gamut()
	return &g, nil
}

// stripTitle is what stands above a strip: the file, the paper and the day.
func stripTitle(file, folder string, o order.Order, at time.Time) string {
	title := filepath.Base(file) + ", for " + folder
	if o.Output.Profile != nil {
		title += ", in the colours of " + o.Output.Profile.Name
	}
	return title + ", " + at.Format("2 January 2006")
}

func tellStrip(out io.Writer, name string, s *render.Strip) error {
	plaintext.Fprintf(out, "%s: %.0f x %.0f mm at %v ppi, %s of %.0f x %.0f mm at true scale\n", name, s.WidthMM, s.HeightMM, s.PPI, plural.Count(len(s.Cells), "cut-out", "cut-outs"), s.CellWidthMM, s.CellHeightMM)
	last := ""
	for _, c := range s.Cells {
		if c.Place != last {
			plaintext.Fprintf(out, "  %s: %s\n", strings.SplitN(c.Label, ",", 2)[0], c.Place)
			last = c.Place
		}
	}
	return nil
}
