package daemon

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
)

// digest has the SHA-256 of the photograph's bytes on record.
func (j *job) digest(ctx context.Context) error {
	f, err := os.Open(j.claim.OriginalPath())
	if err != nil {
		return err
	}
	defer f.Close()
	// Never beyond what was claimed: whoever still writes it might not end.
	sum, err := sha256Of(ctx, io.LimitReader(f, j.claim.Size), j.hand.beat)
	if err != nil {
		return fmt.Errorf("reading %s: %w", j.rec.Source.Name, err)
	}
	j.rec.Source.SHA256 = sum
	return nil
}

// digestChunk is read at a time, in bytes: a slow disk gives it within a second.
const digestChunk = 1 << 20

// sha256Of reads until the end, or that of ctx, and beats as it gets on.
func sha256Of(ctx context.Context, r io.Reader, beat func()) (string, error) {
	h, chunk := sha256.New(), make([]byte, digestChunk)
	for {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		n, err := r.Read(chunk)
		h.Write(chunk[:n])
		if n > 0 {
			beat()
		}
		switch err {
		case nil:
		case io.EOF:
			return hex.EncodeToString(h.Sum(nil)), nil
		default:
			return "", err
		}
	}
}
