// Command softness measures whether the true resolution holds on whole photographs:
// each as it is, reduced by libvips (Lanczos, antialiased) and blurred all over by a
// Gaussian or by a disc, all stored as JPEG of quality 95. scripts/softness.sh runs it.
package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"

	"sizewright/internal/detail"
	"sizewright/internal/photo"
)

const within = 0.15

// change is what is done to a photograph.
type change struct {
	name    string
	by      float64 // reduced so many times; 1 for a blur of the whole, 2 for one of the half
	leaves  float64 // what a blur leaves, as a share of the grid
	command func(in, out string) []string
}

func reduced(by float64) change {
	return change{fmt.Sprintf("/%v", by), by, 1, func(in, out string) []string {
		return []string{"resize", in, out, fmt.Sprint(1 / by), "--kernel", "lanczos3"}
	}}
}

func gaussian(sigma float64) change {
	return change{fmt.Sprintf("Gaussian %v px", sigma), 1, 0.5 / sigma, func(in, out string) []string {
		return []string{"gaussblur", in, out, fmt.Sprint(sigma), "--precision", "float", "--min-ampl", "0.02"}
	}}
}

// halved is a blur of the photograph reduced by two, which is as sharp as pixels can be.
func halved(c change) change {
	c.name, c.by = "/2, "+c.name, 2
	return c
}

const discRadius = 3.0

// A disc of radius r leaves about 0.87/r: see limit_test.go of internal/detail.
func disc(dir string) (change, error) {
	mask := filepath.Join(dir, "disc.mat")
	const reach, fine = 4, 16
	var rows []string
	sum := 0.0
	for y := -reach; y <= reach; y++ {
		row := make([]string, 0, 2*reach+1)
		for x := -reach; x <= reach; x++ {
			inside := 0
			for i := range fine * fine {
				u, v := float64(x)+(float64(i%fine)+0.5)/fine-0.5, float64(y)+(float64(i/fine)+0.5)/fine-0.5
				if math.Hypot(u, v) < discRadius {
					inside++
				}
			}
			sum += float64(inside)
			row = append(row, fmt.Sprint(inside))
		}
		rows = append(rows, strings.Join(row, " "))
	}
	text := fmt.Sprintf("%d %d %v 0\n%s\n", 2*reach+1, 2*reach+1, sum, strings.Join(rows, "\n"))
	return change{fmt.Sprintf("disc %v px", discRadius), 1, 0.87 / discRadius, func(in, out string) []string {
		return []string{"conv", in, out, mask, "--precision", "float"}
	}}, os.WriteFile(mask, []byte(text), 0o644)
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "softness:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, files []string) error {
	if len(files) == 0 {
		return errors.New("name some photographs")
	}
	dir, err := os.MkdirTemp("", "softness")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	round, err := disc(dir)
	if err != nil {
		return err
	}
	changes := []change{reduced(1.25), reduced(1.5), reduced(2), reduced(3), gaussian(1.5), halved(gaussian(1.5)), gaussian(3), halved(gaussian(3)), round}
	held := make([]int, len(changes))
	fmt.Print("| photograph | width | as it is |")
	for _, c := range changes {
		fmt.Printf(" %s |", c.name)
	}
	fmt.Printf("\n| --- |%s\n", strings.Repeat(" ---: |", 2+len(changes)))
	files, err = photographs(files)
	if err != nil {
		return err
	}
	for _, file := range files {
		if err := try(ctx, file, dir, changes, held); err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
	}
	fmt.Printf("| within %.0f %% of %d | | |", 100*within, len(files))
	for _, n := range held {
		fmt.Printf(" %d |", n)
	}
	fmt.Println()
	return nil
}

// photographs are the files named, and the JPEGs in the folders named and those in them.
func photographs(names []string) (files []string, err error) {
	for _, name := range names {
		err := filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			switch strings.ToLower(filepath.Ext(path)) {
			case ".jpg", ".jpeg":
			default:
				if path != name {
					return nil
				}
			}
			files = append(files, path)
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return files, nil
}

// try prints a photograph's line, with a star at what is not within, and counts what is.
func try(ctx context.Context, file, dir string, changes []change, held []int) error {
	in := filepath.Join(dir, "in.v")
	grey, half, out := filepath.Join(dir, "grey.v"), filepath.Join(dir, "half.v"), filepath.Join(dir, "out")
	halve := reduced(2).command(grey, half)
	for _, c := range [][]string{{"colourspace", file, in, "b-w"}, {"cast", in, grey, "uchar"}, halve} {
		if err := vips(ctx, c); err != nil {
			return err
		}
	}
	width, own, err := measured(file)
	if err != nil {
		return err
	}
	fmt.Printf("| %s | %.0f | %.0f |", strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)), width, own*width)
	for i, c := range changes {
		from := grey
		if c.leaves < 1 && c.by > 1 {
			from = half
		}
		if err := vips(ctx, c.command(from, out+".v")); err != nil {
			return err
		}
		if err := vips(ctx, []string{"cast", out + ".v", out + ".8.v", "uchar"}); err != nil {
			return err
		}
		if err := vips(ctx, []string{"copy", out + ".8.v", out + ".jpg[Q=95]"}); err != nil {
			return err
		}
		w, got, err := measured(out + ".jpg")
		if err != nil {
			return err
		}
		most := min(1, own*c.by, c.leaves)
		least := most
		if c.leaves < 1 { // both together, as of two Gaussians one after the other
			least = 1 / math.Hypot(1/min(1, own*c.by), 1/c.leaves)
		}
		star := "\\*"
		if got >= (1-within)*least && got <= (1+within)*most {
			star, held[i] = "", held[i]+1
		}
		if c.leaves == 1 {
			fmt.Printf(" %.0f%s |", got*w, star)
		} else {
			fmt.Printf(" %.2f%s |", got, star)
		}
	}
	fmt.Println()
	return nil
}

func vips(ctx context.Context, args []string) error {
	if text, err := exec.CommandContext(ctx, "vips", args...).CombinedOutput(); err != nil {
		return fmt.Errorf("vips %s: %w\n%s", strings.Join(args, " "), err, text)
	}
	return nil
}

// measured is a file's longer side and its true resolution.
func measured(file string) (long, resolution float64, err error) {
	src, err := photo.Open(file, photo.DefaultLimits())
	if err != nil {
		return 0, 0, err
	}
	defer src.Close()
	return float64(max(src.Width, src.Height)), detail.MeasureSpectrum(src, detail.Measure(src)).Resolution, nil
}
