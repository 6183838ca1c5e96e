package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// method is one way of enlarging.
type method struct {
	name    string
	ours    bool
	enlarge func(context.Context, job) (*raster, error)
}

// job is one enlargement: the small picture, a name for the result without its suffix, and
// the exact size.
type job struct {
	small, out            string
	factor, width, height int
}

// methods returns sizewright's kernels and those of all the programs.
func methods(ctx context.Context, kernels string) ([]method, error) {
	all, err := sizewright(kernels)
	if err != nil {
		return nil, err
	}
	im, err := imageMagick(ctx)
	if err != nil {
		return nil, err
	}
	vips, err := libvips()
	if err != nil {
		return nil, err
	}
	return append(append(all, im...), vips...), nil
}

// command runs a program on one thread, because there are as many jobs as cores. The error
// is the program's output.
func command(ctx context.Context, name string, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, name, args...)
	c.Env = append(os.Environ(), "MAGICK_THREAD_LIMIT=1", "VIPS_CONCURRENCY=1")
	out, err := c.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) && len(exit.Stderr) > 0 {
		return nil, fmt.Errorf("%s: %s", name, strings.TrimSpace(string(exit.Stderr)))
	}
	return out, err
}
