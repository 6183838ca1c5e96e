package render

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"sync"

	"golang.org/x/sync/errgroup"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
	"sizewright/internal/vector"
)

// Renderer carries out one recipe on one decoded photograph. It is read-only
// once made, so any number of workers may share it.
type Renderer struct {
	recipe   Recipe
	src      *photo.Photo
	profiles Profiles
	canvas   canvas
	channels int // while pixels are scaled and sharpened: 1 or 3
	inks     int // of the print: 1, 3 or 4

	tile     int           // columns of one
	grids    [3]photo.Grid // of the source's planes
	apart    bool          // the source's planes are read one by one
	margin   int           // samples beyond the ends of a source row
	x        [3]*vector.Resampler
	y        [3]*axis
	halos    *haloBounds       // set when luma is kept from ringing
	curve    []float32         // set when luma is enlarged through it
	tone     *colour.Tone      // set when light is averaged linearly
	toRGB    *colour.Transform // set for a CMYK picture
	toOutput *colour.Transform // set when the print has another profile

	preBlur, preBlurTwice blurKernel
	masks                 []mask // of sharpening on the print, none to two
	shape                 vector.SharpenOptions
	grainBlur             blurKernel
	grainHeight           float32
	seed                  uint32
}

// New prepares the tables of a recipe for its picture. The error says in what the
// recipe is another picture's, profile's or program's.
func New(recipe Recipe, src *photo.Photo, p Profiles) (*Renderer, error) {
	if err := recipe.fits(src, p); err != nil {
		return nil, err
	}
	r := &Renderer{recipe: recipe, src: src, profiles: p, channels: min(src.Channels(), 3), tile: tileColumns}
	var err error
	if r.canvas, err = newCanvas(&recipe); err != nil {
		return nil, err
	}
	r.blurs()
	r.axes()
	return r, r.colours()
}

// axes prepares the scaling, one kernel for plane 0 and one for the others.
func (r *Renderer) axes() {
	p := &r.recipe
	r.grids, r.apart = r.src.YCC()
	if p.Scale.Light == "linear" || r.channels == 1 {
		for c := range r.grids {
			r.grids[c] = photo.Grid{Width: r.src.Width, Height: r.src.Height, SubX: 1, SubY: 1}
		}
		r.apart = false
	}
	var across [3]*axis
	for c := range r.channels {
		k := p.Scale.kernel()
		if c > 0 {
			k = kernelNamed(p.Scale.ChromaKernel)
		}
		g := r.grids[c]
		across[c] = newAxis(k, g.Width, onGrid(p.Crop.X, g.OffX, g.SubX), p.Crop.Width/float64(g.SubX), p.Print.Width)
		r.y[c] = newAxis(k, g.Height, onGrid(p.Crop.Y, g.OffY, g.SubY), p.Crop.Height/float64(g.SubY), p.Print.Height)
		r.margin = max(r.margin, across[c].margin(), r.preBlurTwice.reach())
	}
	for c := range r.channels {
		r.x[c] = across[c].stretcher(r.margin)
	}
	if p.Scale.HaloLimit {
		r.halos = newHaloBounds(p, r.margin)
	}
	if p.Scale.Curve > 0 {
		r.curve = unsigmoid(p.Scale.Curve)
	}
}

// onGrid is a picture's coordinate, of a pixel's edge, in samples of a coarser grid.
func onGrid(at float64, off, sub int) float64 { return (at - float64(off)) / float64(sub) }

// blurs prepares the sharpening and the grain.
func (r *Renderer) blurs() {
	p := &r.recipe
	if s := p.PreSharpening; s.Applied {
		r.preBlur, r.preBlurTwice = gaussian(s.RadiusPX), gaussian(math.Sqrt2*s.RadiusPX)
	}
	all := 0.0
	for _, s := range []Sharpening{p.ScaleSharpening, p.OutputSharpening} {
		if !s.Applied {
			continue
		}
		shape := s.shape()
		shape.Amount += r.shape.Amount
		r.shape = shape
		r.masks = append(r.masks, mask{gaussian(s.RadiusPX), float32(s.Amount)})
		all += s.Amount
	}
	for i := range r.masks {
		r.masks[i].share /= float32(all)
	}
	if g := p.Grain; g.Applied {
		r.grainBlur = gaussian(g.SizePX)
		r.grainHeight = g.height(r.grainBlur)
		r.seed = r.src.Fingerprint()
	}
}

// colours prepares what happens to colours on the way. An RGB form stands
// between for a CMYK picture: sRGB when the print is sRGB, else one so wide that
// nothing is lost in it.
func (r *Renderer) colours() (err error) {
	c, working, to := r.recipe.Colour, r.profiles.Source, r.profiles.Output
	convert := c.Conversion != KeepColours
	if r.src.Model == photo.CMYK {
		working = colour.BuiltInROMM()
		if c.Conversion == ToSRGB {
			working, convert = to, false
		}
		if r.toRGB, err = inksTo(working, r.profiles.Source); err != nil {
			return err
		}
	}
	r.inks = r.channels
	if convert {
		r.inks = to.Channels
		chain := colour.Chain{From: working, To: to, Intent: c.Intent, BlackPoint: c.BlackPoint}
		if r.toOutput, err = chain.Bake(); err != nil {
			return fmt.Errorf("preparing the conversion to %s: %w", to.Name, err)
		}
	}
	if r.recipe.Scale.Light == "linear" {
		r.tone, err = working.Tone()
	}
	return err
}

// inksTo takes CMYK to an RGB form by its profile, or by plain arithmetic
// without one.
func inksTo(working, source *colour.Profile) (*colour.Transform, error) {
	if source == nil {
		return colour.PlainCMYK(), nil
	}
	return colour.Chain{From: source, To: working, Intent: colour.Relative, BlackPoint: true}.Bake()
}

// finish turns a band's tiles, as each is done, into the bytes of its place in
// the output, and appends them to dst at the band's end.
type finish interface {
	begin(b *band)
	tile(b *band)
	end(b *band, dst []byte) ([]byte, error)
}

// job is one band on its way: made by a worker, taken in order.
type job struct {
	index int
	out   chan []byte
}

// run makes all bands with the given number of workers, each with a finish of
// its own, and hands their bytes to emit in order, one at a time. No more than
// about twice the workers' number of finished bands exist at once.
func (r *Renderer) run(ctx context.Context, workers int, newFinish func() finish, emit func(index int, out []byte) error) error {
	rows := r.recipe.File.BandRows
	bands := (r.canvas.height + rows - 1) / rows
	workers = max(1, min(workers, bands))
	todo := make(chan job)
	ordered := make(chan job, workers)
	spare := make(chan []byte, 2*workers+1)

	g, ctx := errgroup.WithContext(ctx)
	g.Go(caught(func() error { return deal(ctx, bands, todo, ordered) }))
	for range workers {
		g.Go(caught(func() error { return r.work(ctx, todo, spare, newFinish()) }))
	}
	g.Go(caught(func() error { return collect(ctx, ordered, spare, emit) }))
	return passOn(g.Wait())
}

// panicked is a panic on its way from a worker to the caller, who alone may
// know what to do about it: in a goroutine of ours it would end the program.
type panicked struct {
	value any
	stack []byte
}

func (p *panicked) Error() string { return fmt.Sprintf("%v\n\n%s", p.value, p.stack) }

func caught(f func() error) func() error {
	return func() (err error) {
		defer func() {
			if v := recover(); v != nil {
				err = &panicked{v, debug.Stack()}
			}
		}()
		return f()
	}
}

func passOn(err error) error {
	var p *panicked
	if errors.As(err, &p) {
		panic(p)
	}
	return err
}

// deal hands out the bands in order, to the collector first.
func deal(ctx context.Context, bands int, todo, ordered chan<- job) error {
	defer close(todo)
	defer close(ordered)
	for i := range bands {
		j := job{i, make(chan []byte, 1)}
		for _, to := range []chan<- job{ordered, todo} {
			select {
			case to <- j:
			case <-ctx.Done():
				return ctx.Err()
			}
		}
	}
	return nil
}

// bands keeps the memory of workers from print to print.
var bands = sync.Pool{New: func() any { return &band{} }}

func (r *Renderer) work(ctx context.Context, todo <-chan job, spare <-chan []byte, finish finish) error {
	b := bands.Get().(*band)
	defer bands.Put(b)
	for j := range todo {
		if err := ctx.Err(); err != nil {
			return err
		}
		r.render(b, j.index, finish)
		var buf []byte
		select {
		case buf = <-spare:
		default:
		}
		out, err := finish.end(b, buf[:0])
		if err != nil {
			return err
		}
		j.out <- out
	}
	return nil
}

// render takes one band of the canvas, and what of the picture it shows, down the
// road.
func (r *Renderer) render(b *band, index int, out finish) {
	b.from = index * r.recipe.File.BandRows
	b.to = min(b.from+r.recipe.File.BandRows, r.canvas.height)
	b.top, b.bottom = r.canvas.rows(b.from, b.to)
	out.begin(b)
	if b.top == b.bottom {
		return
	}
	for _, s := range bandSteps {
		s.do(r, b)
	}
	for b.left = 0; b.left < r.recipe.Print.Width; b.left = b.right {
		b.right = min(b.left+r.tile, r.recipe.Print.Width)
		for _, s := range tileSteps {
			s.do(r, b)
		}
		out.tile(b)
	}
}

// blank does what a canvas needs that is not all picture.
func (r *Renderer) blank(do func()) {
	if !r.canvas.bare {
		do()
	}
}

func collect(ctx context.Context, ordered <-chan job, spare chan<- []byte, emit func(int, []byte) error) error {
	for j := range ordered {
		select {
		case out := <-j.out:
			if err := emit(j.index, out); err != nil {
				return err
			}
			select {
			case spare <- out:
			default:
			}
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}
