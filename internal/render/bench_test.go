package render_test

import (
	"io"
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/order"
	"sizewright/internal/render"
)

// benchmarked returns the plan of a 6-megapixel photograph printed 2.08 times as large,
// and its renderer.
func benchmarked(b *testing.B) (*order.Plan, *render.Renderer) {
	b.Helper()
	src := save(b, patterned(3000, 2000))
	o := pixels(b, 6240, 4160, 360, grainy(1))
	o.Settings.OutputSharpening, o.Settings.PreSharpening = 1, 1
	p := order.NewPlan(&src.Info, o).WithMeasurement(order.Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.004, Blur: 0.7, Edges: 300}}, o)
	r, err := render.New(p.Recipe(), src, p.Profiles)
	if err != nil {
		b.Fatal(err)
	}
	return p, r
}

func BenchmarkSteps(b *testing.B) {
	_, r := benchmarked(b)
	r.BenchmarkSteps(b)
}

// A whole print by one worker, written nowhere.
func BenchmarkPrint(b *testing.B) {
	p, r := benchmarked(b)
	for b.Loop() {
		if err := r.Write(b.Context(), &nowhere{}, render.Options{Workers: 1}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*p.Print.Width*p.Print.Height), "ns/px")
}

// nowhere is a file that discards everything.
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
