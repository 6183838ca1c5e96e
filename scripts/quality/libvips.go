package main

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
)

// libvips returns the kernels of `vips resize` and the interpolators of `vips affine`.
//
// For enlarging, resize replaces a kernel by an interpolator (nearest, bilinear, and bicubic
// for all others), and versions such as 8.14 shift the result by half an enlarged pixel. Its
// rows show what a user gets. affine is given the right position, so its rows show what the
// interpolators can do.
func libvips() ([]method, error) {
	if _, err := exec.LookPath("vips"); err != nil {
		return nil, errors.New("libvips is not on this machine: install the package libvips-tools")
	}
	var all []method
	add := func(name string, args func(j job) []string) {
		all = append(all, method{name: name, enlarge: func(ctx context.Context, j job) (*raster, error) {
			out := j.out + ".ppm"
			a := args(j)
			if _, err := command(ctx, "vips", append([]string{a[0], j.small, out}, a[1:]...)...); err != nil {
				return nil, err
			}
			return readPPM(out)
		}})
	}
	for _, kernel := range []string{"nearest", "linear", "cubic", "mitchell", "lanczos2", "lanczos3"} {
		add("libvips resize "+kernel, func(j job) []string {
			return []string{"resize", fmt.Sprint(j.factor), "--kernel", kernel}
		})
	}
	for _, interpolator := range []string{"bilinear", "bicubic", "lbb", "nohalo", "vsqbs"} {
		add("libvips affine "+interpolator, func(j job) []string {
			s := float64(j.factor)
			shift := fmt.Sprint((1 - 1/s) / 2) // pixel centres over pixel centres
			return []string{"affine", fmt.Sprintf("%g 0 0 %g", s, s), "--interpolate", interpolator,
				"--idx", shift, "--idy", shift, "--extend", "copy"}
		})
	}
	return all, nil
}
