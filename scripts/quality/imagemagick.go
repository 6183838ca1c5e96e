package main

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"strings"
)

// imageMagick returns every filter that the program lists, on encoded values, as a plain
// -resize works.
func imageMagick(ctx context.Context) ([]method, error) {
	program := ""
	for _, name := range []string{"convert-im6.q16", "magick", "convert"} {
		if path, err := exec.LookPath(name); err == nil {
			program = path
			break
		}
	}
	if program == "" {
		return nil, errors.New("ImageMagick is not on this machine: install the package imagemagick")
	}
	list, err := command(ctx, program, "-list", "filter")
	if err != nil {
		return nil, err
	}
	var all []method
	for filter := range strings.FieldsSeq(string(list)) {
		all = append(all, method{name: "ImageMagick " + filter, enlarge: func(ctx context.Context, j job) (*raster, error) {
			out := j.out + ".ppm"
			size := fmt.Sprintf("%dx%d!", j.width, j.height)
			if _, err := command(ctx, program, j.small, "-filter", filter, "-resize", size, "-depth", "16", out); err != nil {
				return nil, err
			}
			return readPPM(out)
		}})
	}
	return all, nil
}
