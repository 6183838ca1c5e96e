package main

import (
	"context"
	"errors"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"sizewright/internal/colour"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

type gamutFlags struct {
	studio, stock, profile, picture string
	asJSON                          bool
}

func gamutCommand() *cobra.Command {
	var f gamutFlags
	c := &cobra.Command{
		Use:   "gamut FILE",
		Short: "Say which of a picture's colours a paper cannot hold, and by how much",
		Long: "Say which of a picture's colours a paper cannot hold, and by how much: the picture is taken to the\n" +
			"profile and back (media-relative colorimetric), and what was asked is compared with what was got by\n" +
			"CIEDE2000. A difference of 1 is about the least a trained eye sees side by side; above 3 most eyes do.",
		Example: "  sizewright gamut marsh.jpg --stock lustre --studio ~/studio\n  sizewright gamut marsh.jpg --profile paper.icc --map miss.png",
		Args:    exactly(1),
		RunE: func(c *cobra.Command, args []string) error {
			return gamut(c.OutOrStdout(), c.ErrOrStderr(), args[0], f)
		},
	}
	studioFlag(c, &f.studio, ".", "the studio whose stock is meant")
	c.Flags().StringVar(&f.stock, "stock", "", "a stock of the studio, by its name in sizewright.toml")
	c.Flags().StringVar(&f.profile, "profile", "", "an ICC profile")
	c.Flags().StringVar(&f.picture, "map", "", "write a map of the misses over the dimmed picture to this new PNG")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the figures as JSON")
	return c
}

func gamut(out, warn io.Writer, file string, f gamutFlags) error {
	if err := fileOrUsage(file); err != nil {
		return err
	}
	if f.picture != "" {
		if err := newFile("--map", f.picture, ".png"); err != nil {
			return err
		}
	}
	if (f.stock == "") == (f.profile == "") {
		return usageError{errors.New("say which paper: --stock NAME or --profile FILE")}
	}
	desk, err := deskOf(f.settings())
	if err != nil {
		return err
	}
	dest, err := f.destination(desk)
	if err != nil {
		return err
	}
	src, err := desk.Open(context.Background(), file)
	if err != nil {
		return err
	}
	defer src.Close()
	tellCautions(warn, filepath.Base(file), &src.Info)
	m, err := render.MeasureGamut(src, dest)
	if err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(file), err)
	}
	if f.picture != "" {
		err := writeWhole(f.picture, func(out *os.File) error { return png.Encode(out, m.Map(render.GamutMapSide)) })
		if err != nil {
			return err
		}
	}
	g := told{Gamut: m.Gamut(), Cautions: slices.Clone(src.Cautions)}
	var more []photo.Caution
	g.Colours, more = render.Colours(&src.Info)
	g.Cautions = append(g.Cautions, more...)
	if f.asJSON {
		return printJSON(out, g)
	}
	plaintext.Fprintf(out, "colours: %s\n", g.Colours)
	for _, c := range g.Cautions {
		plaintext.Fprintf(out, "caution: %s\n", c.Text)
	}
	return printGamut(out, file, &g.Gamut)
}

// told is a gamut with what the picture's numbers were taken to mean.
type told struct {
	colour.Gamut
	Colours  string          `json:"colours"`
	Cautions []photo.Caution `json:"cautions,omitempty"`
}

// settings is the studio whose settings hold: none for a profile given by its file,
// unless a studio was named.
func (f gamutFlags) settings() string {
	if f.profile != "" && f.studio == "." {
		return ""
	}
	return f.studio
}

// destination is the profile meant.
func (f gamutFlags) destination(desk *order.Desk) (*colour.Profile, error) {
	if f.profile != "" {
		return colour.OpenDestination(f.profile)
	}
	cfg := desk.Config
	stock, err := printsize.ParseStock(f.stock)
	if err != nil {
		return nil, usageError{err}
	}
	if !cfg.KnowsStock(stock) {
		return nil, usageError{fmt.Errorf("sizewright.toml has no [stock.%q]; it has %v", stock, cfg.Stocks())}
	}
	o, err := desk.Output(cfg.Settings("", stock))
	if err == nil && o.Kind != render.ToStock {
		err = usageError{fmt.Errorf("the stock %q names no profile: add profile = \"paper.icc\" to [stock.%q]", stock, stock)}
	}
	return o.Profile, err
}

func printGamut(out io.Writer, file string, g *colour.Gamut) error {
	plaintext.Fprintf(out, "%s on %s, %s measured\n\n", file, g.Profile, plural.Count(g.Measured, "pixel", "pixels"))
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\tbeyond 1\tbeyond 3\tbeyond 6\tmedian\t95 %\tworst\t")
	fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%.1f\t%.1f\t%.1f\t\n", "this paper", percent(g.Beyond1), percent(g.Beyond3), percent(g.Beyond6), g.Median, g.P95, g.Max)
	for _, s := range g.Spaces {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t\t\t%.1f\t\n", s.Space, percent(s.Beyond1), percent(s.Beyond3), percent(s.Beyond6), s.Max)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if len(g.Regions) == 0 {
		return nil
	}
	fmt.Fprintln(out, "\nWhere it misses most:")
	for _, r := range g.Regions {
		fmt.Fprintf(out, "  at %d, %d (%d x %d px): %s\n", r.X, r.Y, r.Width, r.Height, r.Text)
	}
	return nil
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }
