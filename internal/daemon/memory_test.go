package daemon

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/intake"
	"sizewright/internal/isolate"
	"sizewright/internal/photo"
)

// starving stands for a machine whose memory others take: the system ends whatever
// decodes.
func starving(_ context.Context, path string, _ photo.Limits) (*photo.Photo, error) {
	return nil, fmt.Errorf("%s was not decoded: %w", filepath.Base(path), isolate.ErrKilled)
}

func TestAShortageOfMemorySendsThePictureBack(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 1200, 800))
	o.Decode = starving
	result, err := Once(t.Context(), o)
	if err != nil || len(result.Night.Records) != 0 || len(result.Night.Faults) != 1 {
		t.Fatalf("%+v, %v", result.Night, err)
	}
	if _, err := os.Stat(filepath.Join(s.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Errorf("it did not come back: %v", err)
	}
}

// A picture that no memory is ever enough for must not be tried for ever.
func TestAPictureThatMeetsAShortageEachTimeIsHeld(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 1200, 800))
	o.Decode = starving
	r, leave, err := open(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	for n := 1; n <= mostInterruptions; n++ {
		seen, _, err := intake.Scan(s.Drop())
		if err != nil || len(seen) != 1 {
			t.Fatalf("try %d: %v lie in the drop folders, %v", n, seen, err)
		}
		want := faulty
		if n == mostInterruptions {
			want = finished
		}
		if got := r.attempt(t.Context(), seen[0]).how; got != want {
			t.Fatalf("try %d ended as %v", n, got)
		}
	}
	if r := readRecord(t, s, "held/A6/marsh.jpg.json"); r.Code != isolate.Stopped.Code || !strings.Contains(r.Reason, "10 times") {
		t.Errorf("held with %q: %q", r.Code, r.Reason)
	}
	if len(r.shortages.of) != 0 {
		t.Error("it would be held at once when it is dropped again")
	}
}

// The header tells what a control group's limit would end half way.
func TestDecodingStaysWithinTheMemoryThereIs(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 1200, 800))
	o.Memory = 1 << 20
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	if r := readRecord(t, s, "held/A6/marsh.jpg.json"); r.Code != photo.TooLarge.Code {
		t.Errorf("held with %q: %q", r.Code, r.Reason)
	}
}
