package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"sizewright/internal/ladder"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/printsize"
	"sizewright/internal/remedy"
	"sizewright/internal/vision"
)

type ladderFlags struct {
	studio, sizes, distance, acuity, plot string
	asJSON                                bool
}

func ladderCommand() *cobra.Command {
	var f ladderFlags
	c := &cobra.Command{
		Use:   "ladder FILE|FOLDER...",
		Short: "Say how large a picture can be printed, and how large it should be",
		Long: "Say how large a picture can be printed, and how large it should be: how much of its fine detail is seen at\n" +
			"each size, and up to which size the file carries it. Several pictures, or a folder of them, are ranked by how\n" +
			"much they gain from size. The result is an estimate.",
		Example: "  sizewright ladder marsh.jpg\n  sizewright ladder marsh.jpg --sizes A4,A2,40x60in --distance 2.5m --plot marsh.svg\n  sizewright ladder ~/edits",
		Args:    atLeast(1),
		RunE: func(c *cobra.Command, args []string) error {
			return climb(c.OutOrStdout(), c.ErrOrStderr(), args, f)
		},
	}
	studioFlag(c, &f.studio, "", "the `directory` of the studio whose ppi, viewing distance and viewer to use (default: the built-in settings)")
	c.Flags().StringVar(&f.sizes, "sizes", "", "a `list` of sizes, written as in a drop folder's name and separated by commas (default: A6 to 40x60in)")
	c.Flags().StringVar(&f.distance, "distance", "", "the viewing `distance` for every size, such as 80cm, 2.5m or 8ft (default: 1.5 diagonals)")
	c.Flags().StringVar(&f.acuity, "acuity", "", "the viewer's acuity, a `number`: 1 resolves one minute of arc (default: the studio's)")
	c.Flags().StringVar(&f.plot, "plot", "", "draw one picture's ladder to a new SVG `file`")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the figures as JSON")
	return c
}

// climb makes the ladder of every picture it can read, and then reports those it cannot read.
func climb(out, warn io.Writer, args []string, f ladderFlags) error {
	files, err := picturesIn(args)
	if err != nil {
		return err
	}
	if f.plot != "" && len(files) != 1 {
		return argumentError{remedy.Errorf("give one, or leave --plot out", "--plot draws one picture, but %d were given", len(files))}
	}
	if f.plot != "" {
		if err := newFile("--plot", f.plot, ".svg"); err != nil {
			return err
		}
	}
	sizes, o, err := f.options()
	if err != nil {
		return err
	}
	desk, err := deskOf(warn, f.studio)
	if err != nil {
		return err
	}
	all := []*ladder.Ladder{}
	unread := 0
	for _, file := range files {
		src, err := desk.Open(context.Background(), file)
		if err != nil {
			if len(files) == 1 {
				return err
			}
			fmt.Fprintln(warn, "sizewright:", plaintext.Error(err))
			unread++
			continue
		}
		tellCautions(warn, nameOf(file, args), &src.Info)
		all = append(all, ladderOf(src, nameOf(file, args), sizes, o))
		src.Close()
	}
	if err := f.tell(out, all, len(files) > 1); err != nil {
		return err
	}
	if unread > 0 {
		return fmt.Errorf("%d of %d files could not be read", unread, len(files))
	}
	return nil
}

// nameOf returns the name shown for a picture. With several arguments it includes the
// folder, because two pictures may have the same name.
func nameOf(file string, args []string) string {
	if len(args) == 1 {
		return filepath.Base(file)
	}
	return file
}

func ladderOf(src *photo.Photo, name string, sizes []printsize.Size, o ladder.Options) *ladder.Ladder {
	m, spectrum := order.Measure(src)
	p := ladder.Picture{Name: name, Width: src.Width, Height: src.Height, Spectrum: spectrum, Counted: m.Counted()}
	return ladder.New(p, sizes, o)
}

// picturesIn returns the files given and, for folders, the files in them that begin as
// pictures do.
func picturesIn(args []string) (files []string, err error) {
	for _, arg := range args {
		st, err := os.Stat(arg)
		if err != nil || !st.IsDir() {
			if err := present(arg); err != nil {
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
			return nil, argumentError{remedy.Errorf("give a picture, or a folder of pictures", "there is no picture in %s", arg)}
		}
	}
	return files, nil
}

// isPicture reports whether a file is a picture, also a damaged one.
func isPicture(name string) bool {
	_, err := photo.Identify(name, photo.DefaultLimits())
	return !errors.Is(err, photo.NotAnImage) && !errors.Is(err, photo.Unfinished)
}

// options returns what the flags and the studio set.
func (f ladderFlags) options() (sizes []printsize.Size, o ladder.Options, err error) {
	cfg, _, err := settingsOf(f.studio)
	if err != nil {
		return nil, o, err
	}
	s := cfg.Settings("", "")
	o = ladder.Options{PPI: s.PPI, DistanceMM: s.ViewingDistanceMM, Viewer: vision.Viewer{Acuity: s.Acuity}}
	if f.acuity != "" {
		if o.Viewer.Acuity, err = strconv.ParseFloat(f.acuity, 64); err != nil || !(o.Viewer.Acuity >= 0.25 && o.Viewer.Acuity <= 3) {
			return nil, o, argumentError{fmt.Errorf("--acuity: give a number from 0.25 to 3, not %q", f.acuity)}
		}
	}
	if sizes, err = f.rungs(); err != nil {
		return nil, o, err
	}
	given := 0.0 // by --distance
	o.Levels = func(size string, diagonalMM float64) vision.Levels {
		s := cfg.Settings(size, "")
		s.Acuity = o.Viewer.Acuity
		s.ViewingDistanceMM = cmp.Or(given, s.ViewingDistanceMM)
		return order.Levels(diagonalMM, s)
	}
	if f.distance != "" {
		if o.DistanceMM, err = parseDistance(f.distance); err != nil {
			return nil, o, argumentError{err}
		}
		given = o.DistanceMM
		return sizes, o, nil
	}
	o.Distances = map[string]float64{}
	for _, size := range sizes {
		if d := cfg.Settings(size.Name, "").ViewingDistanceMM; d != s.ViewingDistanceMM {
			o.Distances[size.Name] = d
		}
	}
	return sizes, o, nil
}

// rungs returns the sizes asked for.
func (f ladderFlags) rungs() (sizes []printsize.Size, err error) {
	if f.sizes == "" {
		return ladder.DefaultSizes(), nil
	}
	for name := range strings.SplitSeq(f.sizes, ",") {
		size, err := printsize.ParseSize(strings.TrimSpace(name))
		if err != nil {
			return nil, argumentError{err}
		}
		sizes = append(sizes, size)
	}
	return sizes, nil
}

// parseDistance reads a distance with its unit, in mm. The least is the nearest focus of an eye.
func parseDistance(text string) (float64, error) {
	for _, unit := range []struct {
		suffix string
		mm     float64
	}{{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", printsize.MMPerInch}, {"ft", 12 * printsize.MMPerInch}} {
		number, ok := strings.CutSuffix(strings.TrimSpace(text), unit.suffix)
		if !ok {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err == nil && v*unit.mm >= vision.NearPointMM && v*unit.mm <= 100_000 {
			return v * unit.mm, nil
		}
		break
	}
	return 0, fmt.Errorf("--distance: give 25cm to 100m with its unit, such as 80cm, 2.5m or 8ft, not %q", text)
}

// tell prints the result; for several pictures a ranking.
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
