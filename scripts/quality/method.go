package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// method is one way to enlarge.
type method struct {
	name    string
	ours    bool
	enlarge func(context.Context, job) (*raster, error)
}

// job is one enlargement: the small picture, a name for the result without its
// ending, and the exact size asked for.
type job struct {
	small, out            string
	factor, width, height int
}

// methods are sizewright's kernels and all of the programs'.
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

// command runs a program on one thread, as there are as many jobs as cores. The
// error is what the program said.
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
