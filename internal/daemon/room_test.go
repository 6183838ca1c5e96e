package daemon

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sizewright/internal/isolate"
	"sizewright/internal/photo"
	"sizewright/internal/testkit/reference"
)

// The header says what a print may take: an order that finds no room costs a look.
func TestAnOrderWithoutRoomIsNotDecoded(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	o.free = func() (uint64, error) { return 0, nil }
	o.Decode = func(context.Context, string, photo.Limits) (*photo.Photo, error) {
		t.Error("it was decoded")
		return nil, errors.New("not here")
	}
	result, err := Once(t.Context(), o)
	if err != nil || len(result.Night.Left) != 1 || !strings.Contains(result.Night.Left[0].Text, "waits for room") {
		t.Errorf("%+v, %v", result.Night, err)
	}
}

// A picture that is too large for memory takes a file as well, and its print is the same.
func TestALargePictureTakesRoomAndMakesTheSamePrint(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "marsh.tif")
	reference.Output(t, "convert", "-size", "660x440", "plasma:", "-depth", "16", picture)
	data, err := os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	prints := map[bool][]byte{}
	for _, large := range []bool{false, true} {
		s, o := newStudio(t, "A6", quick+"minimum_ppi = 10\n")
		drop(t, s, "A6", "marsh.tif", data)
		o.Decode = isolate.In(s.Temp())
		if large {
			o.Config.Limits.MaxDecodeBytes = 1 << 20
		}
		enough := o.free
		o.free = func() (uint64, error) { return 0, nil }
		result, err := Once(t.Context(), o)
		if err != nil || len(result.Night.Left) != 1 || strings.Contains(result.Night.Left[0].Text, "decoding it to a file") != large {
			t.Fatalf("%+v, %v", result.Night, err)
		}
		o.free = enough
		if _, err := Once(t.Context(), o); err != nil {
			t.Fatal(err)
		}
		print, err := os.ReadFile(filepath.Join(s.Outbox(), "A6", "marsh.tif"))
		if err != nil {
			held, _ := os.ReadFile(filepath.Join(s.Root(), "held/A6/marsh.tif.txt"))
			t.Fatalf("%v: %s", err, held)
		}
		prints[large] = print
	}
	if !bytes.Equal(prints[false], prints[true]) {
		t.Error("the prints differ")
	}
}

func TestWithoutRoomAllWaitTogether(t *testing.T) {
	q, asked := newQueue(), 0
	room := func(bytes int64) func() int64 { return func() int64 { asked++; return bytes } }
	for i := range 500 {
		c := dropped("A2", fmt.Sprintf("%03d", i), time.Hour)
		q.ended(c, outcome{how: noRoom, needs: 100}, evening)
		q.add(c, 0, evening)
	}
	now := evening.Add(time.Hour)
	if c, ok := q.next(now, room(99)); ok {
		t.Fatalf("%s is tried on a disk that has no room for it", c.Name)
	}
	if asked != 1 {
		t.Errorf("the disk was asked %d times", asked)
	}
	first, ok := q.next(now, room(150))
	if !ok {
		t.Fatal("none is tried when there is room")
	}
	if c, ok := q.next(now, room(150)); ok {
		t.Errorf("%s is tried with the room that %s takes", c.Name, first.Name)
	}
	q.ended(first, outcome{how: finished}, now)
	if _, ok := q.next(now, room(150)); !ok {
		t.Error("none is tried when that one is made")
	}
}

// Another file of its name may be smaller.
func TestAFileThatWaitsForRoomDoesNotSpeakForTheNextOfItsName(t *testing.T) {
	q := newQueue()
	q.ended(dropped("A2", "marsh", time.Hour), outcome{how: noRoom, needs: 100}, evening)
	q.add(dropped("A2", "marsh", 0), 0, evening)
	if _, ok := q.next(evening, func() int64 { return 0 }); !ok {
		t.Error("it is not tried")
	}
}

func TestSmallerSettingsAreTriedAtOnce(t *testing.T) {
	q, c := newQueue(), dropped("A2", "marsh", 0)
	q.ended(c, outcome{how: noRoom, needs: 100}, evening)
	q.anew()
	q.add(c, 0, evening)
	if _, ok := q.next(evening, func() int64 { return 0 }); !ok {
		t.Error("a print waits for the room that it needed before the configuration was changed")
	}
}
