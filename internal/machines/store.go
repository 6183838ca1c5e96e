package machines

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

const (
	// partBytes is how much of an object is moved at a time.
	partBytes = 4 << 20
	// partTries is how often a part is tried, so that a server may start anew meanwhile.
	partTries = 3
)

// partWithin is how long one try may take: 140 kB/s are too slow to be of use. Tests shorten it.
var partWithin = 30 * time.Second

// errNotWhole is an object whose bytes are not those of its digest.
var errNotWhole = errors.New("what came is not what was sent: its digest is another")

// store is the object store, in which bytes lie by an owner's ID and their digest.
type store struct{ jetstream.ObjectStore }

func part(owner string, b blob, i int64) string { return fmt.Sprintf("%s.%s.%d", owner, b.SHA256, i) }

func (b blob) parts() int64 { return (b.Bytes + partBytes - 1) / partBytes }

// put stores the bytes of r, which must be b's. moved hears of each part.
func (s store) put(ctx context.Context, owner string, b blob, r io.Reader, moved func(bytes int)) error {
	buf := make([]byte, min(b.Bytes, partBytes))
	for i := range b.parts() {
		n := min(b.Bytes-i*partBytes, partBytes)
		if _, err := io.ReadFull(r, buf[:n]); err != nil {
			return err
		}
		err := repeated(ctx, func(ctx context.Context) error {
			_, err := s.Put(ctx, jetstream.ObjectMeta{Name: part(owner, b, i)}, bytes.NewReader(buf[:n]))
			return err
		})
		if err != nil {
			return fmt.Errorf("storing part %d of %d: %w", i+1, b.parts(), err)
		}
		moved(int(n))
	}
	return nil
}

// get writes an object's bytes to w. The error is errNotWhole if they are not b's, after
// they were written.
func (s store) get(ctx context.Context, owner string, b blob, w io.Writer, moved func(bytes int)) error {
	sum := sha256.New()
	for i := range b.parts() {
		var data []byte
		err := repeated(ctx, func(ctx context.Context) (err error) {
			data, err = s.GetBytes(ctx, part(owner, b, i))
			return err
		})
		if err == nil && int64(len(data)) != min(b.Bytes-i*partBytes, partBytes) {
			err = errNotWhole
		}
		if err != nil {
			return fmt.Errorf("fetching part %d of %d: %w", i+1, b.parts(), err)
		}
		sum.Write(data)
		if _, err := w.Write(data); err != nil {
			return err
		}
		moved(len(data))
	}
	if hex.EncodeToString(sum.Sum(nil)) != b.SHA256 {
		return errNotWhole
	}
	return nil
}

// holds reports whether an object is there: a server may have come back empty.
func (s store) holds(ctx context.Context, owner string, b blob) bool {
	for i := range b.parts() {
		if _, err := s.GetInfo(ctx, part(owner, b, i)); err != nil {
			return false
		}
	}
	return true
}

// remove takes an object out. What stays goes when it is old.
func (s store) remove(ctx context.Context, owner string, b blob) {
	ctx, stop := context.WithTimeout(ctx, partWithin)
	defer stop()
	for i := range b.parts() {
		if s.Delete(ctx, part(owner, b, i)) != nil {
			return
		}
	}
}

// repeated tries to move a part until it comes through. What no try can change ends it.
func repeated(ctx context.Context, move func(context.Context) error) (err error) {
	for range partTries {
		within, stop := context.WithTimeout(ctx, partWithin)
		err = move(within)
		stop()
		if err == nil || ctx.Err() != nil || errors.Is(err, jetstream.ErrObjectNotFound) || isFull(err) {
			return errors.Join(err, ctx.Err())
		}
		select {
		case <-ctx.Done():
		case <-time.After(partWithin / 30):
		}
	}
	return err
}

// full are the server's codes for what has no room: for the account, in memory, on the
// disk, in the stream.
var full = []jetstream.ErrorCode{10023, 10028, 10047, 10077}

func isFull(err error) bool {
	var api *jetstream.APIError
	return errors.As(err, &api) && slices.Contains(full, api.ErrorCode)
}
