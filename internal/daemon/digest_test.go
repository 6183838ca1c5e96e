package daemon

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"sizewright/internal/photo"
)

// A sparse file costs its sender nothing and may be of any length.
func TestAFileLargerThanAnyThatIsReadIsHeldUnread(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "huge.bin", []byte("no picture"))
	if err := os.Truncate(filepath.Join(s.Drop(), "A6", "huge.bin"), 32<<30); err != nil {
		t.Fatal(err)
	}
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	r := readRecord(t, s, "held/A6/huge.bin.json")
	if r.Code != photo.TooLarge.Code || r.Source.Bytes != 32<<30 || !strings.Contains(r.Reason, "32.0 GiB") {
		t.Errorf("held with %q: %q, %d bytes", r.Code, r.Reason, r.Source.Bytes)
	}
	if r.Source.SHA256 != "" {
		t.Error("all of it was read before it was held")
	}
	if c := result.Night.Counts(); c.Ready+c.WithCautions != 1 {
		t.Errorf("beside it were made: %+v", c)
	}
}

// What is held for its header has its digest on record all the same.
func TestAHeldFileIsKnownByItsBytes(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "list.csv", []byte("abc"))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	// FIPS 180-4's example of one block.
	const want = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	if r := readRecord(t, s, "held/A6/list.csv.json"); r.Source.SHA256 != want {
		t.Errorf("on record is %q", r.Source.SHA256)
	}
}

// Whoever reads for long tells that it gets on, and heeds a stop.
func TestADigestEndsWithTheDaemon(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	beats := 0
	_, err := sha256Of(ctx, endless{}, func() {
		if beats++; beats == 5 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) || beats != 5 {
		t.Errorf("ended with %v after %d beats", err, beats)
	}
}

type endless struct{}

func (endless) Read(b []byte) (int, error) { return len(b), nil }

func TestADiskThatDoesNotAnswerIsAFault(t *testing.T) {
	broken := errors.New("input/output error")
	if _, err := sha256Of(t.Context(), iotest.ErrReader(broken), func() {}); err != broken {
		t.Errorf("got %v", err)
	}
}
