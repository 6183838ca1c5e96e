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
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/remedy"
)

type gamutFlags struct {
	studio, stock, profile, picture string
	asJSON, all                     bool
}

func gamutCommand() *cobra.Command {
	var f gamutFlags
	c := &cobra.Command{
		Use:   "gamut FILE",
		Short: "Say which of a picture's colours a paper cannot hold, and by how much",
		Long: "Say which of a picture's colours a paper cannot hold, and by how much. The picture is converted to the\n" +
			"profile and back (media-relative colorimetric, with black point compensation unless the stock has\n" +
			"none), and compared with the original by CIEDE2000. A difference of 1 is about the\n" +
			"least that a trained eye sees side by side; above 3 most people see it. In a print less is visible: a whole\n" +
			"area must differ, and a dark colour that only becomes lighter differs in depth alone, as on all paper.",
		Example: "  sizewright gamut marsh.jpg --stock lustre --studio ~/studio\n  sizewright gamut marsh.jpg --profile paper.icc --map miss.png",
		Args:    exactly(1),
		RunE: func(c *cobra.Command, args []string) error {
			return gamut(c.OutOrStdout(), c.ErrOrStderr(), args[0], f)
		},
	}
	studioFlag(c, &f.studio, ".", "the `directory` of the studio that has the stock")
	c.Flags().StringVar(&f.stock, "stock", "", "the `name` of a stock in the studio's sizewright.toml")
	c.Flags().BoolVar(&f.all, "all", false, "compare all stocks that have a profile, the one that holds the picture best first")
	c.Flags().StringVar(&f.profile, "profile", "", "an ICC profile, by its `file`")
	c.Flags().StringVar(&f.picture, "map", "", "write a map of the misses over the dimmed picture to this new PNG `file`")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the figures as JSON")
	return c
}

func gamut(out, warn io.Writer, file string, f gamutFlags) error {
	if err := present(file); err != nil {
		return err
	}
	if f.picture != "" {
		if err := newFile("--map", f.picture, ".png"); err != nil {
			return err
		}
	}
	switch {
	case f.all && (f.stock != "" || f.profile != "" || f.picture != ""):
		return argumentError{errors.New("--all compares all stocks: give it alone, or without it one of them")}
	case f.all:
		return gamutOfAll(out, warn, file, f)
	case f.stock == "" && f.profile == "":
		return argumentError{errors.New("no paper was given: give --stock NAME, --profile FILE or --all")}
	case f.stock != "" && f.profile != "":
		return argumentError{errors.New("two papers were given: give either --stock or --profile")}
	}
	desk, err := deskOf(warn, f.settings())
	if err != nil {
		return err
	}
	o, err := f.order(desk)
	if err != nil {
		return err
	}
	src, err := desk.Open(context.Background(), file)
	if err != nil {
		return err
	}
	defer src.Close()
	tellCautions(warn, filepath.Base(file), &src.Info)
	m, err := order.MeasureGamut(src, o.Output)
	if err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(file), err)
	}
	if f.picture != "" {
		err := writeWhole(f.picture, func(out *os.File) error {
			return png.Encode(out, m.Map(order.GamutMapSide, o.Settings.GamutCautionDeltaE))
		})
		if err != nil {
			return err
		}
	}
	g := told{Gamut: m.Gamut(), Cautions: slices.Clone(src.Cautions)}
	var more []photo.Caution
	g.Colours, more = order.Colours(&src.Info)
	g.Cautions = append(g.Cautions, more...)
	if c := order.GamutCaution(g.Gamut, o); c != nil {
		g.Cautions = append(g.Cautions, *c)
	}
	if f.asJSON {
		return printJSON(out, g)
	}
	plaintext.Fprintf(out, "colours: %s\n", g.Colours)
	for _, c := range g.Cautions {
		plaintext.Fprintf(out, "caution: %s\n", c.Text)
	}
	return printGamut(out, file, &g.Gamut, o)
}

// gamutOfAll compares the stocks.
func gamutOfAll(out, warn io.Writer, file string, f gamutFlags) error {
	desk, err := deskOf(warn, f.studio)
	if err != nil {
		return err
	}
	src, err := desk.Open(context.Background(), file)
	if err != nil {
		return err
	}
	defer src.Close()
	tellCautions(warn, filepath.Base(file), &src.Info)
	papers, err := desk.ComparePapers(src)
	switch {
	case err != nil:
		return fmt.Errorf("%s: %w", filepath.Base(file), err)
	case len(papers) == 0:
		return argumentError{remedy.Errorf("add one with profile = \"paper.icc\", or give --profile FILE", "no stock in sizewright.toml has a profile")}
	case f.asJSON:
		return printJSON(out, map[string]any{"papers": papers})
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	plaintext.Fprintf(w, "\tseen beyond 3\tbeyond 6\tall beyond 3\tworst\tperceptual: seen beyond 3\tbeyond 6\tmost missed\n")
	for _, p := range papers {
		g := p.Relative
		if g == nil {
			continue
		}
		perceptual, most := "the same\t", "nothing"
		if v := p.Perceptual; v != nil {
			perceptual = percent(v.Seen.Beyond3) + "\t" + percent(v.Seen.Beyond6)
		}
		if len(g.Regions) > 0 {
			most = g.Regions[0].Hue + ", loses " + g.Regions[0].Loses
		}
		plaintext.Fprintf(w, "%s\t%s\t%s\t%s\t%.1f\t%s\t%s\n", p.Stock, percent(g.Seen.Beyond3), percent(g.Seen.Beyond6), percent(g.Beyond3), g.Max, perceptual, most)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if papers[0].Reason != "" {
		plaintext.Fprintf(out, "\nBest: %s. %s.\n", papers[0].Stock, papers[0].Reason)
	}
	for _, p := range papers {
		if p.Fault != "" {
			plaintext.Fprintf(out, "Not measured: %s: %s\n", p.Stock, p.Fault)
		}
	}
	return nil
}

// told is a gamut with the colours that the picture was taken to have.
type told struct {
	colour.Gamut
	Colours  string          `json:"colours"`
	Cautions []photo.Caution `json:"cautions,omitempty"`
}

// settings returns the studio whose settings apply: none for a profile given by its file,
// unless a studio was named.
func (f gamutFlags) settings() string {
	if f.profile != "" && f.studio == "." {
		return ""
	}
	return f.studio
}

// order returns the settings and the output for the stock, or for the profile.
func (f gamutFlags) order(desk *order.Desk) (o order.Order, err error) {
	cfg := desk.Config
	if f.profile != "" {
		o.Settings = cfg.Print
		if o.Settings.Profile, err = filepath.Abs(f.profile); err == nil {
			o.Output, err = desk.Output(o.Settings)
		}
		return o, err
	}
	stock, err := printsize.ParseStock(f.stock)
	if err != nil {
		return o, argumentError{err}
	}
	if !cfg.KnowsStock(stock) {
		return o, argumentError{remedy.Errorf(stocksOf(cfg), "sizewright.toml has no [stock.%q]", stock)}
	}
	o.Stock, o.Settings = stock, cfg.Settings("", stock)
	o.Output, err = desk.Output(o.Settings)
	if err == nil && o.Output.Kind != order.ToStock {
		err = argumentError{fmt.Errorf("the stock %q names no profile: add profile = \"paper.icc\" to [stock.%q]", stock, stock)}
	}
	return o, err
}

// stocksOf says which stocks there are to name.
func stocksOf(cfg *config.Config) string {
	if len(cfg.Stocks()) == 0 {
		return "it has none: add one with its profile, or give --profile FILE"
	}
	return "give one of " + strings.Join(cfg.Stocks(), ", ")
}

func printGamut(out io.Writer, file string, g *colour.Gamut, o order.Order) error {
	compensation := "without"
	if g.Compensated {
		compensation = "with"
	}
	plaintext.Fprintf(out, "%s on %s, %s measured, %s black point compensation\n\n", file, g.Profile, plural.Count(g.Measured, "pixel", "pixels"), compensation)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\tbeyond 1\tbeyond 3\tbeyond 6\tmedian\t95 %\tworst\t")
	fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%.1f\t%.1f\t%.1f\t\n", "this paper", percent(g.Beyond1), percent(g.Beyond3), percent(g.Beyond6), g.Median, g.P95, g.Max)
	for _, part := range []struct {
		name   string
		shares *colour.Shares
	}{{"of these in depth alone", &g.Blacks}, {"seen in a print", g.Seen}} {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t\t\t\t\n", part.name, percent(part.shares.Beyond(1)), percent(part.shares.Beyond(3)), percent(part.shares.Beyond(6)))
	}
	for _, s := range g.Spaces {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t\t\t%.1f\t\n", s.Space, percent(s.Beyond1), percent(s.Beyond3), percent(s.Beyond6), s.Max)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if limit := o.Settings.GamutCautionDeltaE; order.GamutCaution(*g, o) == nil {
		fmt.Fprintf(out, "\nThere is no caution for this paper: %s of the picture visibly misses by more than %g; the limit is %s.\n",
			percent(g.Seen.Beyond(limit)), limit, percent(o.Settings.GamutCautionShare))
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
