package render

import (
	"context"
	"io"
	"testing"
)

// Write is [WriteTIFF] with a renderer that a test has changed.
func (r *Renderer) Write(ctx context.Context, w io.WriteSeeker, o Options) error {
	_, err := r.writeTIFF(ctx, w, o)
	return err
}

// CutInto makes tiles that many columns wide.
func (r *Renderer) CutInto(columns int) { r.tile = columns }

// BenchmarkSteps measures each step by itself, in ns a pixel of the print.
func (r *Renderer) BenchmarkSteps(b *testing.B) {
	rows := r.recipe.File.BandRows
	k := &band{top: 512, bottom: 512 + rows}
	steps := func(all []step, columns int) {
		for _, s := range all {
			b.Run(s.name, func(b *testing.B) {
				for b.Loop() {
					s.do(r, k)
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*columns*rows), "ns/px")
			})
			s.do(r, k)
		}
	}
	steps(bandSteps, r.recipe.Print.Width)
	k.left, k.right = 2*tileColumns, 3*tileColumns
	steps(tileSteps, tileColumns)
}
