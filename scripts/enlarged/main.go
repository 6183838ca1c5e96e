// Command enlarged measures how often an enlarged file is recognised: photographs enlarged
// by ImageMagick and by libvips, as PNG and as JPEGs of falling quality, and the same
// photographs without enlargement. scripts/enlarged.sh runs it.
//
// A file counts as recognised if the factor found is right within 3 %, and as wrongly
// recognised if another is found. JPEGs are made by ImageMagick, with chroma of a quarter,
// its default, or as fine as luma.
package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"

	"sizewright/internal/detail"
	"sizewright/internal/photo"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "enlarged:", err)
		os.Exit(1)
	}
}

// bench is the set of experiments.
type bench struct {
	files, factors, qualities []string
	crop                      string
	dir                       string
}

// maker enlarges a file by a factor.
type maker struct {
	name    string
	command func(in, factor, out string) []string
}

var makers = []maker{
	{"ImageMagick Lanczos", func(in, factor, out string) []string {
		by, _ := strconv.ParseFloat(factor, 64)
		return []string{"convert", in, "-filter", "Lanczos", "-resize", fmt.Sprintf("%v%%", 100*by), out}
	}},
	{"libvips lanczos3", func(in, factor, out string) []string {
		return []string{"vips", "resize", in, out, factor, "--kernel", "lanczos3"}
	}},
}

// within is the error allowed in a factor.
const within = 0.03

func run(ctx context.Context) error {
	factors := flag.String("factors", "1.5,2,3", "factors to enlarge by, separated by commas")
	qualities := flag.String("qualities", "98,95,92,90,85,75", "JPEG qualities")
	crop := flag.String("crop", "800x600", `size of the crop from the middle of each photograph, or "whole"`)
	flag.Parse()
	dir, err := os.MkdirTemp("", "enlarged")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	b := &bench{flag.Args(), strings.Split(*factors, ","), strings.Split(*qualities, ","), *crop, dir}
	if len(b.files) == 0 {
		return fmt.Errorf("no photographs were given")
	}
	return b.run(ctx)
}

func (b *bench) run(ctx context.Context) error {
	rows := map[string]*row{}
	var order []string
	at := func(name string) *row {
		if rows[name] == nil {
			rows[name] = &row{cells: make([]tally, 1+len(b.qualities))}
			order = append(order, name)
		}
		return rows[name]
	}
	for i, file := range b.files {
		fmt.Fprintf(os.Stderr, "enlarged: %d of %d: %s\n", i+1, len(b.files), filepath.Base(file))
		native := filepath.Join(b.dir, "native.png")
		if err := b.native(ctx, file, native); err != nil {
			return err
		}
		if err := b.saved(ctx, at("not enlarged"), native, 1, "2x2"); err != nil {
			return err
		}
		for _, factor := range b.factors {
			by, err := strconv.ParseFloat(factor, 64)
			if err != nil || by <= 1 {
				return fmt.Errorf("-factors: %q is not above 1", factor)
			}
			for _, m := range makers {
				big := filepath.Join(b.dir, "big.png")
				if err := command(ctx, m.command(native, factor, big)); err != nil {
					return err
				}
				if err := b.saved(ctx, at(m.name+", "+factor), big, by, "2x2"); err != nil {
					return err
				}
				if m.name == makers[0].name && factor == "2" {
					if err := b.saved(ctx, at(m.name+", 2, 4:4:4"), big, by, "1x1"); err != nil {
						return err
					}
				}
			}
		}
	}
	b.print(order, rows)
	return nil
}

// native returns the photograph, or its middle, as PNG.
func (b *bench) native(ctx context.Context, file, to string) error {
	args := []string{"convert", file + "[0]", "-auto-orient", "-depth", "8"}
	if b.crop != "whole" {
		args = append(args, "-gravity", "center", "-crop", b.crop+"+0+0")
	}
	return command(ctx, append(args, "+repage", "-strip", "-type", "TrueColor", to))
}

// tally counts files that were recognised, rightly or wrongly, of how many; and sums the true
// resolution of the others.
type tally struct {
	named, wrong, all int
	hidden            float64
}

type row struct{ cells []tally }

// saved measures a file unchanged and as JPEGs of all qualities.
func (b *bench) saved(ctx context.Context, r *row, file string, by float64, sampling string) error {
	if err := r.cells[0].add(file, by); err != nil {
		return err
	}
	jpeg := filepath.Join(b.dir, "saved.jpg")
	for i, q := range b.qualities {
		if err := command(ctx, []string{"convert", file, "-sampling-factor", sampling, "-quality", q, jpeg}); err != nil {
			return err
		}
		if err := r.cells[i+1].add(jpeg, by); err != nil {
			return err
		}
	}
	return nil
}

func (t *tally) add(file string, by float64) error {
	src, err := photo.Open(file, photo.DefaultLimits())
	if err != nil {
		return err
	}
	defer src.Close()
	s := detail.MeasureSpectrum(src, detail.Measure(src))
	t.all++
	switch {
	case by > 1 && math.Abs(s.Enlarged/by-1) <= within:
		t.named++
	case s.Enlarged > 1:
		t.wrong++
	default:
		t.hidden += s.Resolution * by
	}
	return nil
}

func (b *bench) print(order []string, rows map[string]*row) {
	fmt.Printf("%d photographs. Files recognised as enlarged, of all; +n recognised with another factor. In brackets, for the others: the mean of the\ntrue resolution times the factor, which is the photograph's own.\n\n", len(b.files))
	fmt.Printf("| enlarged by | PNG | JPEG %s |\n| --- |%s\n", strings.Join(b.qualities, " | "), strings.Repeat(" --- |", 1+len(b.qualities)))
	for _, name := range order {
		cells := make([]string, 0, len(rows[name].cells))
		for _, c := range rows[name].cells {
			text := fmt.Sprintf("%d of %d", c.named, c.all)
			if c.wrong > 0 {
				text += fmt.Sprintf(" +%d", c.wrong)
			}
			if hidden := c.all - c.named - c.wrong; hidden > 0 {
				text += fmt.Sprintf(" (%.2f)", c.hidden/float64(hidden))
			}
			cells = append(cells, text)
		}
		fmt.Printf("| %s | %s |\n", name, strings.Join(cells, " | "))
	}
}

// command runs a program; the error is its output.
func command(ctx context.Context, args []string) error {
	c := exec.CommandContext(ctx, args[0], args[1:]...)
	c.Env = append(os.Environ(), "MAGICK_THREAD_LIMIT=1", "VIPS_CONCURRENCY=1")
	if out, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w: %s", strings.Join(args, " "), err, strings.TrimSpace(string(out)))
	}
	return nil
}
