package render

import (
	"io"
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/photo"
)

// benchmarked is a photograph of 6 megapixels, its plan for a print 2.08 times as
// large and the renderer of both.
func benchmarked(b *testing.B) (*photo.Photo, *Plan, *Renderer) {
	b.Helper()
	src := save(b, patterned(3000, 2000))
	o := pixels(b, 6240, 4160, 360, grainy(1))
	o.Settings.OutputSharpening, o.Settings.PreSharpening = 1, 1
	p := NewPlan(&src.Info, o).WithMeasurement(Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.004, Blur: 0.7, Edges: 300}}, o)
	r, err := New(p, src, o)
	if err != nil {
		b.Fatal(err)
	}
	return src, p, r
}

// Each stretch of the road on its own: ns a pixel of the print.
func BenchmarkSteps(b *testing.B) {
	_, p, r := benchmarked(b)
	k := &band{top: 512, bottom: 512 + p.File.BandRows}
	for _, s := range bandSteps {
		b.Run(s.name, func(b *testing.B) {
			for b.Loop() {
				s.do(r, k)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*p.Print.Width*p.File.BandRows), "ns/px")
		})
		s.do(r, k)
	}
	k.left, k.right = 2*tileColumns, 3*tileColumns
	for _, s := range tileSteps {
		b.Run(s.name, func(b *testing.B) {
			for b.Loop() {
				s.do(r, k)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*tileColumns*p.File.BandRows), "ns/px")
		})
	}
}

// A whole print to nowhere, by one worker.
func BenchmarkPrint(b *testing.B) {
	_, p, r := benchmarked(b)
	for b.Loop() {
		if _, err := r.WriteTIFF(b.Context(), &nowhere{}, Options{Workers: 1}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*p.Print.Width*p.Print.Height), "ns/px")
}

// nowhere is a file that keeps nothing.
type nowhere struct{ at int64 }

func (n *nowhere) Write(p []byte) (int, error) { n.at += int64(len(p)); return len(p), nil }

func (n *nowhere) Seek(offset int64, whence int) (int64, error) {
	if whence == io.SeekStart {
		n.at = offset
	} else {
		n.at += offset
	}
	return n.at, nil
}
