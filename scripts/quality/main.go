// Command quality makes the table of enlargement quality: real photographs reduced by 2, 3
// and 4 and enlarged back, by sizewright and by general-purpose programs on this machine,
// each result compared with the original photograph. scripts/quality.sh runs it.
//
// # References
//
// Every photograph is first cropped and reduced by 2 (see [reduce]), because the pixels of a
// camera's JPEG are soft from demosaicing and compression. The small picture is made from
// this reference in the same way, as the average of s x s pixels in linear light, which is
// what a sensor with larger pixels would have recorded. Profiles are ignored; all values are
// read as sRGB.
//
// # Measures
//
// Luma is 0.299 R + 0.587 G + 0.114 B of encoded values (ITU-R BT.601), 0..1. A border of
// 4 s pixels is left out, so that the way a program continues a picture beyond its edge does
// not matter.
//
//   - PSNR of luma and of the three channels together, full scale 1.
//   - SSIM of luma: see [similarity].
//   - Overshoot of luma at edges: see [overshoot].
//
// Means, also of decibels, are over the photographs' figures.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"regexp"
	"strconv"
	"strings"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "quality:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context) error {
	pictures := flag.String("pictures", "", "photographs and folders of photographs, separated by commas, instead of Debian's wallpapers; cropped in the middle")
	factors := flag.String("factors", "2,3,4", "factors to reduce and enlarge by")
	only := flag.String("only", "", "only the methods whose name this regular expression matches")
	kernels := flag.String("kernels", "", `sizewright's kernels, separated by commas; "all", or the default one`)
	size := flag.String("crop", "768x528", "size of a reference in pixels, at most that of the photograph")
	csvFile := flag.String("csv", "", "also write every figure of every photograph to this file")
	flag.Parse()

	b, err := newBench(*size, *factors)
	if err != nil {
		return err
	}
	match, err := regexp.Compile(*only)
	if err != nil {
		return fmt.Errorf("-only: %w", err)
	}
	all, err := methods(ctx, *kernels)
	if err != nil {
		return err
	}
	for _, m := range all {
		if match.MatchString(m.name) {
			b.methods = append(b.methods, m)
		}
	}
	if len(b.methods) == 0 {
		return fmt.Errorf("-only %s matches no method", *only)
	}
	if b.pictures, err = choose(*pictures); err != nil {
		return err
	}
	results, err := b.run(ctx)
	if err != nil {
		return err
	}
	if *csvFile != "" {
		if err := writeCSV(*csvFile, results); err != nil {
			return err
		}
	}
	report(os.Stdout, b, results)
	return nil
}

// newBench parses the options.
func newBench(size, factors string) (*bench, error) {
	b := &bench{}
	if _, err := fmt.Sscanf(size, "%dx%d", &b.width, &b.height); err != nil {
		return nil, fmt.Errorf("-crop %s is not a size such as 768x528", size)
	}
	for text := range strings.SplitSeq(factors, ",") {
		s, err := strconv.Atoi(text)
		if err != nil || s < 2 || s > 16 {
			return nil, fmt.Errorf("-factors %s: %q is not a whole factor of 2 to 16", factors, text)
		}
		b.factors = append(b.factors, s)
	}
	return b, nil
}
