package daemon

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"

	"sizewright/internal/system"
)

// digest has the SHA-256 of the photograph's bytes on record.
func (j *job) digest(ctx context.Context) error {
	sum, err := digestOf(ctx, j.claim.OriginalPath(), j.claim.Size, false, j.progress.beat)
	if err != nil {
		return fmt.Errorf("reading %s: %w", j.rec.Source.Name, err)
	}
	j.rec.Source.SHA256 = sum
	return nil
}

// digestOf is that of a file's first size bytes: never beyond what was claimed, for
// whoever still writes it might not end. anew has what was read before be read from
// where it lies.
func digestOf(ctx context.Context, path string, size int64, anew bool, beat func()) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	if anew {
		system.DropCache(f)
	}
	return sha256Of(ctx, io.LimitReader(f, size), beat)
}

// digestChunk is read at a time, in bytes: a slow disk gives it within a second.
const digestChunk = 1 << 20

// sha256Of reads until the end, or that of ctx, and beats as it gets on.
func sha256Of(ctx context.Context, r io.Reader, beat func()) (string, error) {
	h := sha256.New()
	_, err := io.CopyBuffer(h, beating{ctx, r, beat}, make([]byte, digestChunk))
	return hex.EncodeToString(h.Sum(nil)), err
}

// beating is a reader that ends with ctx.
type beating struct {
	ctx  context.Context
	from io.Reader
	beat func()
}

func (b beating) Read(chunk []byte) (n int, err error) {
	if err := b.ctx.Err(); err != nil {
		return 0, err
	}
	if n, err = b.from.Read(chunk); n > 0 {
		b.beat()
	}
	return n, err
}
