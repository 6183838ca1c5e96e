package photo

import (
	"bytes"
	"errors"
	"io"
	"testing"
)

// FuzzEnded holds Ended to what it may say of any bytes, and to two claims:
// a JPEG or PNG that can be decoded has ended, and nothing that has not does so
// by zeros. It goes in below the guard, so that a panic is a failure.
// (A TIFF's pixels may be there when something else is missing.)
func FuzzEnded(f *testing.F) {
	for _, b := range smallFiles(f) {
		f.Add(b)
		f.Add(b[:len(b)/2])
	}
	lim := DefaultLimits()
	lim.MaxPixels, lim.MaxDecodeBytes, lim.MaxProfileBytes, lim.MaxScans = 1<<16, 1<<22, 1<<16, 8
	f.Fuzz(func(t *testing.T, b []byte) {
		err := unguardedEnd(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), lim)
		if err == nil {
			return
		}
		var u *Unended
		if !errors.As(err, &u) || u.Missing == "" {
			t.Fatalf("not worded: %v", err)
		}
		format, _ := sniff(bytes.NewReader(b))
		if format == nil || format.name != formatJPEG && format.name != formatPNG {
			return
		}
		if _, bad := decode(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), "fuzz.jpg", lim, nil); bad == nil {
			t.Fatalf("can be decoded, but: %v", err)
		}
		zeros := make([]byte, 100)
		if format.name == formatJPEG && !bytes.HasSuffix(b, []byte("\xff")) && ended(append(b[:len(b):len(b)], zeros...), lim) == nil {
			t.Fatal("zeros made it whole")
		}
	})
}
