package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"sizewright/internal/eye"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

type ladderFlags struct {
	studio, sizes, distance, plot string
	acuity                        float64
	asJSON                        bool
}

func ladderCommand() *cobra.Command {
	var f ladderFlags
	c := &cobra.Command{
		Use:   "ladder FILE|FOLDER...",
		Short: "Say how large a picture can go, and how large it must be",
		Long: "Say how large a picture can go, and how large it must be: how much of its fine detail an eye sees at\n" +
			"each size, and where it begins to look soft. Several pictures, or a folder of them, are ranked by how\n" +
			"much size gives them. What it says is an estimate.",
		Example: "  sizewright ladder marsh.jpg\n  sizewright ladder marsh.jpg --sizes A4,A2,40x60in --distance 2.5m --plot marsh.svg\n  sizewright ladder ~/edits",
		Args:    atLeast(1),
		RunE: func(c *cobra.Command, args []string) error {
			return climb(c.OutOrStdout(), c.ErrOrStderr(), args, f)
		},
	}
	studioFlag(c, &f.studio, "", "a studio whose ppi, viewing distance and viewer are used; the defaults without one")
	c.Flags().StringVar(&f.sizes, "sizes", "", "the sizes, as drop folders are named, with commas between; A6 to 40x60in without")
	c.Flags().StringVar(&f.distance, "distance", "", "from how far every size is seen, as 80cm or 2.5m; 1.5 of its diagonals without")
	c.Flags().Float64Var(&f.acuity, "acuity", 0, "the viewer's: 1 resolves one minute of arc; the studio's without")
	c.Flags().StringVar(&f.plot, "plot", "", "draw one picture's ladder to this SVG")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the figures as JSON")
	return c
}

// climb tells of every picture it can read, and then of those it cannot.
func climb(out, warn io.Writer, args []string, f ladderFlags) error {
	files, err := picturesIn(args)
	if err != nil {
		return err
	}
	if f.plot != "" && len(files) != 1 {
		return usageError{fmt.Errorf("--plot draws one picture, and %d were given", len(files))}
	}
	sizes, o, err := f.options()
	if err != nil {
		return err
	}
	var all []*ladder.Ladder
	unread := 0
	for _, file := range files {
		src, err := photo.Open(file, photo.DefaultLimits())
		if err != nil {
			if len(files) == 1 {
				return err
			}
			fmt.Fprintln(warn, "sizewright:", printable(err.Error()))
			unread++
			continue
		}
		all = append(all, ladderOf(src, file, sizes, o))
	}
	if err := f.tell(out, all, len(files) > 1); err != nil {
		return err
	}
	if unread > 0 {
		return fmt.Errorf("%d of %d files could not be read", unread, len(files))
	}
	return nil
}

func ladderOf(src *photo.Photo, file string, sizes []printsize.Size, o ladder.Options) *ladder.Ladder {
	_, spectrum := render.Measure(src)
	p := ladder.Picture{Name: filepath.Base(file), Width: src.Width, Height: src.Height, Spectrum: spectrum}
	return ladder.New(p, sizes, o)
}

// picturesIn are the files given and, of folders, the files in them that are
// pictures by their beginnings.
func picturesIn(args []string) (files []string, err error) {
	for _, arg := range args {
		st, err := os.Stat(arg)
		if err != nil || !st.IsDir() {
			if err := fileOrUsage(arg); err != nil {
				return nil, err
			}
			files = append(files, arg)
			continue
		}
		entries, err := os.ReadDir(arg)
		if err != nil {
			return nil, err
		}
		before := len(files)
		for _, e := range entries {
			if name := filepath.Join(arg, e.Name()); e.Type().IsRegular() && isPicture(name) {
				files = append(files, name)
			}
		}
		if len(files) == before {
			return nil, usageError{fmt.Errorf("there is no picture in %s", arg)}
		}
	}
	return files, nil
}

// isPicture is true of what is no other thing than a picture: a damaged one is
// one.
func isPicture(name string) bool {
	_, err := photo.Identify(name, photo.DefaultLimits())
	return !errors.Is(err, photo.NotAnImage) && !errors.Is(err, photo.Empty)
}

// options are what the flags and the studio say.
func (f ladderFlags) options() (sizes []printsize.Size, o ladder.Options, err error) {
	cfg, _, err := settingsOf(f.studio)
	if err != nil {
		return nil, o, err
	}
	s := cfg.Settings("", "")
	o = ladder.Options{PPI: s.PPI, DistanceMM: s.ViewingDistanceMM, Viewer: eye.Viewer{Acuity: s.Acuity}}
	if f.acuity != 0 {
		if !(f.acuity >= 0.25 && f.acuity <= 3) {
			return nil, o, usageError{fmt.Errorf("--acuity: give a number from 0.25 to 3, not %v", f.acuity)}
		}
		o.Viewer.Acuity = f.acuity
	}
	if f.distance != "" {
		if o.DistanceMM, err = parseDistance(f.distance); err != nil {
			return nil, o, usageError{err}
		}
	}
	for _, name := range strings.FieldsFunc(f.sizes, func(r rune) bool { return r == ',' }) {
		size, err := printsize.ParseSize(strings.TrimSpace(name))
		if err != nil {
			return nil, o, usageError{err}
		}
		sizes = append(sizes, size)
	}
	return sizes, o, nil
}

// parseDistance reads a distance with its unit, in mm.
func parseDistance(text string) (float64, error) {
	for _, unit := range []struct {
		suffix string
		mm     float64
	}{{"mm", 1}, {"cm", 10}, {"m", 1000}} {
		number, ok := strings.CutSuffix(strings.TrimSpace(text), unit.suffix)
		if !ok {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err == nil && v*unit.mm >= 100 && v*unit.mm <= 100_000 {
			return v * unit.mm, nil
		}
		break
	}
	return 0, fmt.Errorf("--distance: give 10cm to 100m with its unit, as 80cm or 2.5m, not %q", text)
}

// tell prints what was found, as a ranking where more than one was asked for.
func (f ladderFlags) tell(out io.Writer, all []*ladder.Ladder, many bool) error {
	ladder.Rank(all)
	if f.plot != "" {
		err := writeWhole(f.plot, func(out *os.File) error {
			_, err := out.Write(all[0].SVG())
			return err
		})
		if err != nil {
			return err
		}
	}
	switch {
	case f.asJSON && many:
		return printJSON(out, all)
	case f.asJSON:
		return printJSON(out, all[0])
	case many:
		return printRanking(out, all)
	}
	return printLadder(out, all[0])
}

func printLadder(out io.Writer, l *ladder.Ladder) error {
	fmt.Fprintf(out, "%s: %d x %d px, %s\n\n", printable(l.Picture), l.WidthPX, l.HeightPX, l.Holds)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\t\tnative\t\tfine detail seen\tjudged\tstepping up\tsoftness\tsame view\t")
	fmt.Fprintln(w, "size\tprint mm\tppi\tscale\tstanding back\tfrom there\tto 25 cm\t(1 is just seen)\tfrom\t")
	for _, r := range l.Rungs {
		mark := ""
		if r.Soft {
			mark = " soft"
		}
		fmt.Fprintf(w, "%s\t%.0f x %.0f\t%.0f\t%.2f\t%s at %s\t%s at %s\t%s\t%.2f%s\t%s\t\n", r.Name, r.WidthMM, r.HeightMM, r.NativePPI, r.Scale,
			whole(r.Usual.Detail), metres(r.Usual.DistanceMM), whole(r.Look.Detail), metres(r.Look.DistanceMM), whole(r.Near.Detail), r.Look.Softness, mark, metres(r.SameViewMM))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(out, "\n%s\n%s\n", l.Verdict, l.Basis)
	return err
}

func printRanking(out io.Writer, all []*ladder.Ladder) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "size gives\tpicture\tpixels, detail for\tneeds at least\tcarries up to\t")
	for _, l := range all {
		fmt.Fprintf(w, "%s\t%s\t%.1f MP, %.1f\t%s\t%s\t\n", whole(l.Gain), printable(l.Picture), l.Pixels, l.Effective, cmp.Or(l.Needs.Rung, "more"), cmp.Or(l.Carries.Rung, "none"))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if len(all) > 0 {
		fmt.Fprintf(out, "\n%s\n", all[0].Basis)
	}
	return nil
}

func whole(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

func metres(mm float64) string {
	if mm < 995 {
		return fmt.Sprintf("%.0f cm", mm/10)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}
