package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"golang.org/x/sync/errgroup"
)

// bench is what is compared, and on which pictures.
type bench struct {
	width, height int // of a reference
	factors       []int
	methods       []method
	pictures      []picture
}

// result is the result of one method for one photograph and factor.
type result struct {
	method  method
	picture string
	factor  int
	score   score
	err     error // the program made no picture
}

// run enlarges and measures everything, one photograph after the other, with as many jobs
// at a time as there are cores.
func (b *bench) run(ctx context.Context) ([]result, error) {
	unit := 1
	for _, s := range b.factors {
		unit = multiple(unit, s)
	}
	var all []result
	for i, p := range b.pictures {
		fmt.Fprintf(os.Stderr, "quality: %d of %d: %s\n", i+1, len(b.pictures), p.name)
		r, err := p.reference(b.width, b.height, unit)
		if err != nil {
			return nil, err
		}
		for _, s := range b.factors {
			results, err := b.enlarge(ctx, p.name, newReference(r, s))
			if err != nil {
				return nil, err
			}
			all = append(all, results...)
		}
	}
	return all, nil
}

// enlarge makes every method enlarge the reduced reference.
func (b *bench) enlarge(ctx context.Context, name string, ref *reference) ([]result, error) {
	dir, err := os.MkdirTemp("", "quality")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	small := filepath.Join(dir, "small.png")
	if err := writePNG(small, reduce(ref.raster, ref.factor)); err != nil {
		return nil, err
	}
	results := make([]result, len(b.methods))
	var g errgroup.Group
	g.SetLimit(runtime.NumCPU())
	for i, m := range b.methods {
		g.Go(func() error {
			j := job{small: small, out: filepath.Join(dir, fmt.Sprint(i)), factor: ref.factor, width: ref.width, height: ref.height}
			results[i] = result{method: m, picture: name, factor: ref.factor}
			large, err := m.enlarge(ctx, j)
			switch {
			case err != nil && m.ours:
				return fmt.Errorf("%s: %w", m.name, err)
			case err != nil:
				results[i].err = err
			case large.width != ref.width || large.height != ref.height:
				results[i].err = fmt.Errorf("%s made %d x %d px, not %d x %d", m.name, large.width, large.height, ref.width, ref.height)
			default:
				results[i].score = ref.score(large)
			}
			return ctx.Err()
		})
	}
	return results, g.Wait()
}

// multiple returns the least common multiple.
func multiple(a, b int) int {
	m := a
	for m%b != 0 {
		m += a
	}
	return m
}
