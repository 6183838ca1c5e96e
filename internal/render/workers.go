package render

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"

	"golang.org/x/sync/errgroup"
)

// finish converts each tile of a band to output bytes when it is done, and appends them
// to dst at the end of the band.
type finish interface {
	begin(b *band)
	tile(b *band)
	end(b *band, dst []byte) ([]byte, error)
}

// pending is one band: a worker makes it, and the collector takes it in order.
type pending struct {
	index int
	out   chan []byte
}

// run makes all bands with the given number of workers, each with its own finish, and
// passes their bytes to emit in order, one at a time. At most about twice as many
// finished bands as workers exist at once.
func (r *Renderer) run(ctx context.Context, workers int, newFinish func() finish, emit func(index int, out []byte) error) error {
	rows := r.recipe.File.BandRows
	bands := (r.canvas.height + rows - 1) / rows
	workers = max(1, min(workers, bands))
	todo := make(chan pending)
	ordered := make(chan pending, workers)
	spare := make(chan []byte, 2*workers+1)

	g, ctx := errgroup.WithContext(ctx)
	g.Go(recovered(func() error { return distribute(ctx, bands, todo, ordered) }))
	for range workers {
		g.Go(recovered(func() error { return r.work(ctx, todo, spare, newFinish()) }))
	}
	g.Go(recovered(func() error { return collect(ctx, ordered, spare, emit) }))
	return repanic(g.Wait())
}

// panicked carries a panic from a worker to the caller. In a goroutine of this package
// it would end the program.
type panicked struct {
	value any
	stack []byte
}

func (p *panicked) Error() string { return fmt.Sprintf("%v\n\n%s", p.value, p.stack) }

func recovered(f func() error) func() error {
	return func() (err error) {
		defer func() {
			if v := recover(); v != nil {
				err = &panicked{v, debug.Stack()}
			}
		}()
		return f()
	}
}

func repanic(err error) error {
	var p *panicked
	if errors.As(err, &p) {
		panic(p)
	}
	return err
}

// distribute hands out the bands in order, to the collector first.
func distribute(ctx context.Context, bands int, todo, ordered chan<- pending) error {
	defer close(todo)
	defer close(ordered)
	for i := range bands {
		j := pending{i, make(chan []byte, 1)}
		for _, to := range []chan<- pending{ordered, todo} {
			select {
			case to <- j:
			case <-ctx.Done():
				return ctx.Err()
			}
		}
	}
	return nil
}

// bands keeps the workers' memory from print to print.
var bands = sync.Pool{New: func() any { return &band{} }}

func (r *Renderer) work(ctx context.Context, todo <-chan pending, spare <-chan []byte, finish finish) error {
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

// render makes one band of the canvas, with the part of the picture that it shows.
func (r *Renderer) render(b *band, index int, out finish) {
	b.from = index * r.recipe.File.BandRows
	b.to = min(b.from+r.recipe.File.BandRows, r.canvas.height)
	b.top, b.bottom = r.canvas.rows(b.from, b.to)
	b.window = [2]int{0, r.recipe.Print.Width}
	out.begin(b)
	if b.top == b.bottom {
		return
	}
	r.tiles(b, 0, r.recipe.Print.Width, func() { out.tile(b) })
}

// tiles makes the band's rows of print columns [left, right), tile by tile, and calls
// done after each.
func (r *Renderer) tiles(b *band, left, right int, done func()) {
	for _, s := range bandSteps {
		s.do(r, b)
	}
	for b.left = left; b.left < right; b.left = b.right {
		b.right = min(b.left+r.tile, right)
		for _, s := range tileSteps {
			s.do(r, b)
		}
		done()
	}
}

func collect(ctx context.Context, ordered <-chan pending, spare chan<- []byte, emit func(int, []byte) error) error {
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
