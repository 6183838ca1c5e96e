package machines

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"math/big"
	"os"
	"slices"
	"time"

	"sizewright/internal/remedy"
	"sizewright/internal/render"
	"sizewright/internal/tiff"
)

// receive fetches the strips and writes the file around them. It returns a sum of
// each. An error that is no transportError is the worker's fault.
func (o *Owner) receive(ctx context.Context, objects store, p *Print, done request, w io.WriteSeeker) (*tiff.Writer, []uint64, error) {
	if err := done.Result.check(); err != nil {
		return nil, nil, err
	}
	all, one := int64(0), p.Header
	one.Height = min(one.Height, one.RowsPerStrip)
	for _, n := range done.Strips {
		if n <= 0 || n > one.MaxBytes() {
			return nil, nil, fmt.Errorf("a strip has length %d", n)
		}
		all += n
	}
	if len(done.Strips) != p.Header.Strips() || all != done.Result.Bytes || all > p.Header.MaxBytes() {
		return nil, nil, fmt.Errorf("it has strip %d of %d, and %d B of at most %d B", len(done.Strips), p.Header.Strips(), all, p.Header.MaxBytes())
	}
	tw, err := tiff.NewWriter(w, p.Header)
	if err != nil {
		return nil, nil, transport(err)
	}
	cut := &cutter{lengths: done.Strips, to: tw}
	begun, moved := time.Now(), int64(0)
	err = objects.get(ctx, o.id, done.Result, cut, func(n int) {
		moved += int64(n)
		p.Progress("fetching", float64(moved)/float64(max(all, 1)))
	})
	switch {
	case cut.wrong != nil:
		return nil, nil, cut.wrong
	case errors.Is(err, errNotWhole) && moved == all: // each part came as it was stored
		return nil, nil, err
	case err != nil:
		return nil, nil, transport(err)
	}
	o.mu.Lock()
	o.rates.moved(all, time.Since(begun))
	o.rates.packed(all, p.Header.MaxBytes())
	o.mu.Unlock()
	return tw, cut.sums, transport(tw.Close())
}

// cutter cuts what is written to it into strips.
type cutter struct {
	lengths []int64
	to      *tiff.Writer
	strip   []byte
	sums    []uint64
	wrong   error // what makes them no strips
}

func (c *cutter) Write(p []byte) (int, error) {
	n := len(p)
	for len(p) > 0 && len(c.sums) < len(c.lengths) {
		take := min(int64(len(p)), c.lengths[len(c.sums)]-int64(len(c.strip)))
		c.strip = append(c.strip, p[:take]...)
		p = p[take:]
		if int64(len(c.strip)) < c.lengths[len(c.sums)] {
			break
		}
		if err := c.to.WriteStrip(c.strip); err != nil {
			var disk *os.PathError
			if !errors.As(err, &disk) {
				c.wrong = err
			}
			return 0, err
		}
		c.sums = append(c.sums, maphash.Bytes(sumSeed, c.strip))
		c.strip = c.strip[:0]
	}
	return n, nil
}

// sumSeed makes sums of strips that nobody else can foresee.
var sumSeed = maphash.MakeSeed()

var errOther = remedy.Errorf("test that machine", "a strip that it sent is not what its recipe makes")

// check makes three strips again, which nobody could know before, and compares them.
func (o *Owner) check(ctx context.Context, p *Print, sums []uint64) (n int, err error) {
	src, err := p.Decode(ctx)
	if err != nil {
		return 0, err
	}
	defer src.Close()
	begun := time.Now()
	r, err := render.New(p.Recipe, src, p.Profiles)
	if err != nil {
		return 0, err
	}
	chosen, err := someOf(len(sums), checkStrips)
	if err != nil {
		return 0, err
	}
	for i, strip := range chosen {
		if err := ctx.Err(); err != nil {
			return i, err
		}
		again, err := r.Strip(p.Header, strip)
		if err != nil {
			return i, err
		}
		if maphash.Bytes(sumSeed, again) != sums[strip] {
			return i, fmt.Errorf("%w (number %d of %d)", errOther, strip+1, len(sums))
		}
		p.Progress("checking", float64(i+1)/float64(len(chosen)))
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.rates.checked(time.Since(begun))
	return len(chosen), nil
}

// someOf chooses k of n numbers, each as likely.
func someOf(n, k int) (chosen []int, err error) {
	for len(chosen) < min(n, k) {
		i, err := rand.Int(rand.Reader, big.NewInt(int64(n)))
		if err != nil {
			return nil, err
		}
		if !slices.Contains(chosen, int(i.Int64())) {
			chosen = append(chosen, int(i.Int64()))
		}
	}
	return chosen, nil
}
