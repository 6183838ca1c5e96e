package render

import (
	"context"
	"fmt"
	"io"

	"sizewright/internal/tiff"
)

// Options are how a plan is carried out; none changes the result.
type Options struct {
	Workers  int                   // at least 1 is used
	Progress func(done, total int) // bands written; nil for none
}

// WriteTIFF makes the print and writes it to w. It returns when the last byte
// is written, or with the first error, or when ctx ends.
func (r *Renderer) WriteTIFF(ctx context.Context, w io.WriteSeeker, o Options) (*tiff.Writer, error) {
	h, err := r.plan.Header(&r.src.Info, r.order)
	if err != nil {
		return nil, err
	}
	tw, err := tiff.NewWriter(w, h)
	if err != nil {
		return nil, err
	}
	total := h.Strips()
	err = r.run(ctx, o.Workers, func() finish { return r.tiffStrips(h) }, func(i int, out []byte) error {
		if err := tw.WriteStrip(out); err != nil {
			return fmt.Errorf("writing strip %d of %d: %w", i+1, total, err)
		}
		if o.Progress != nil {
			o.Progress(i+1, total)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return tw, tw.Close()
}

// tiffStrips quantises and encodes bands, one a strip.
func (r *Renderer) tiffStrips(h tiff.Header) finish {
	enc := h.NewEncoder()
	var wide []uint16
	var narrow []uint8
	return func(b *band, dst []byte) ([]byte, error) {
		if h.Bits == 8 {
			narrow = interleave8(narrow, b, r.finished(b), r.inks)
			return enc.Strip8(dst, narrow, b.bottom-b.top)
		}
		wide = interleave16(wide, b, r.finished(b), r.inks)
		return enc.Strip16(dst, wide, b.bottom-b.top)
	}
}
