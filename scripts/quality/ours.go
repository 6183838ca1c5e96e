package main

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// sizewright returns the kernels asked for, or the default one for "". Only their scaling is
// measured, so sharpening and grain are off; everything else is the default.
func sizewright(kernels string) ([]method, error) {
	names := strings.Split(kernels, ",")
	switch kernels {
	case "":
		names = []string{config.Default().Settings("", "").Kernel, config.EnlargeLearned}
	case "all":
		names = append(slices.Clone(config.Kernels), config.EnlargeLearned)
	}
	var all []method
	for _, kernel := range names {
		if kernel != config.EnlargeLearned && !slices.Contains(config.Kernels, kernel) {
			return nil, fmt.Errorf("-kernels: %q is not one of %s", kernel, strings.Join(config.Kernels, ", "))
		}
		all = append(all, method{name: "sizewright " + kernel, ours: true, enlarge: func(ctx context.Context, j job) (*raster, error) {
			out := j.out + ".tif"
			if err := printOf(ctx, kernel, j, out); err != nil {
				return nil, err
			}
			return open(out)
		}})
	}
	return all, nil
}

// printOf makes a print of the small picture in the same way as an order. At 254 ppi a
// millimetre is ten pixels, so the size in pixels is exact.
func printOf(ctx context.Context, kernel string, j job, out string) error {
	src, err := photo.Open(j.small, photo.DefaultLimits())
	if err != nil {
		return err
	}
	size, err := printsize.ParseSize(fmt.Sprintf("%gx%gmm", float64(j.width)/10, float64(j.height)/10))
	if err != nil {
		return err
	}
	s := config.Default().Settings("", "")
	if kernel == config.EnlargeLearned {
		s.Enlarge = kernel
	} else {
		s.Kernel = kernel
	}
	s.PPI, s.MinimumPPI, s.CautionPPI = 254, 10, 10
	s.Bits, s.Compression = 16, config.CompressionNone
	s.PreSharpening, s.OutputSharpening, s.Grain = 0, 0, 0
	o := order.Order{Size: size, Settings: s}
	p := order.NewPlan(&src.Info, o)
	if s.Enlarge == config.EnlargeLearned {
		measured, _ := order.Measure(src, o)
		p = p.WithMeasurement(measured, o)
		p.PreSharpening.Applied, p.ScaleSharpening.Applied, p.OutputSharpening.Applied = false, false, false
	}
	f, err := os.Create(out)
	if err != nil {
		return err
	}
	if _, err := render.WriteTIFF(ctx, f, p.Recipe(), src, p.Profiles, render.Options{Workers: 1}); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
