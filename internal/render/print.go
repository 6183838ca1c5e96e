package render

import (
	"context"
	"fmt"
	"io"

	"sizewright/internal/photo"
	"sizewright/internal/tiff"
)

// Options say how a recipe is carried out. None of them changes the result.
type Options struct {
	Workers  int                   // at least 1 is used
	Progress func(done, total int) // bands written; nil for none
}

// WriteTIFF makes the print from its recipe, decoded source and profiles, and writes it
// to w. It uses no studio, configuration or clock, and makes the same bytes on any
// machine. It returns when the last byte is written, at the first error, or when ctx
// ends.
func WriteTIFF(ctx context.Context, w io.WriteSeeker, recipe Recipe, src *photo.Photo, p Profiles, o Options) (*tiff.Writer, error) {
	r, err := New(recipe, src, p)
	if err != nil {
		return nil, err
	}
	return r.writeTIFF(ctx, w, o)
}

func (r *Renderer) writeTIFF(ctx context.Context, w io.WriteSeeker, o Options) (*tiff.Writer, error) {
	h, err := r.recipe.Header(&r.src.Info, r.profiles)
	if err != nil {
		return nil, err
	}
	tw, err := tiff.NewWriter(w, h)
	if err != nil {
		return nil, err
	}
	if err := r.strips(ctx, h, o, tw.WriteStrip); err != nil {
		return nil, err
	}
	return tw, tw.Close()
}

// Strips makes the strips of the file that [WriteTIFF] makes, without the file around
// them, and passes them to emit in order, one at a time. emit must not keep them.
func Strips(ctx context.Context, recipe Recipe, src *photo.Photo, p Profiles, o Options, emit func(strip []byte) error) error {
	r, err := New(recipe, src, p)
	if err != nil {
		return err
	}
	h, err := recipe.Header(&src.Info, p)
	if err != nil {
		return err
	}
	return r.strips(ctx, h, o, emit)
}

func (r *Renderer) strips(ctx context.Context, h tiff.Header, o Options, emit func(strip []byte) error) error {
	total := h.Strips()
	return r.run(ctx, o.Workers, func() finish { return r.encoder(h) }, func(i int, out []byte) error {
		if err := emit(out); err != nil {
			return fmt.Errorf("writing strip %d of %d: %w", i+1, total, err)
		}
		if o.Progress != nil {
			o.Progress(i+1, total)
		}
		return nil
	})
}

// Strip makes one strip of the file alone: its bytes are those that [Strips] gives.
func (r *Renderer) Strip(h tiff.Header, i int) ([]byte, error) {
	b := bands.Get().(*band)
	defer bands.Put(b)
	finish := r.encoder(h)
	r.render(b, i, finish)
	return finish.end(b, nil)
}

func (r *Renderer) encoder(h tiff.Header) *tiffStrips {
	return &tiffStrips{r: r, bits: h.Bits, enc: h.NewEncoder()}
}

// tiffStrips quantises tiles and encodes each band as a strip.
type tiffStrips struct {
	r      *Renderer
	bits   int
	enc    *tiff.Encoder
	wide   []uint16
	narrow []uint8
}

func (s *tiffStrips) begin(b *band) {
	n := (b.to - b.from) * s.r.canvas.width * s.r.inks
	if s.bits == 8 {
		s.narrow = grow(s.narrow, n)
		whiten(s.narrow, s.r.inks)
		return
	}
	s.wide = grow(s.wide, n)
	whiten(s.wide, s.r.inks)
}

func (s *tiffStrips) tile(b *band) {
	if s.bits == 8 {
		interleave8(s.narrow, s.r, b)
	} else {
		interleave16(s.wide, s.r, b)
	}
}

func (s *tiffStrips) end(b *band, dst []byte) ([]byte, error) {
	if s.bits == 8 {
		paint(s.narrow, &s.r.canvas, b.from, b.to, s.r.inks)
		return s.enc.Strip8(dst, s.narrow, b.to-b.from)
	}
	paint(s.wide, &s.r.canvas, b.from, b.to, s.r.inks)
	return s.enc.Strip16(dst, s.wide, b.to-b.from)
}
