package intake

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

const soon = 160 * time.Millisecond // a settle time for tests

func TestSettledGivesEverythingOldestFirst(t *testing.T) {
	drop := newDrop(t, "A2", "A3")
	noon := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	put(t, drop, "A2/new.jpg", "x")
	at(t, drop, "A2/new.jpg", noon)
	put(t, drop, "A3/old.jpg", "x")
	at(t, drop, "A3/old.jpg", noon.Add(-time.Minute))
	put(t, drop, "loose.jpg", "x")
	files, left, err := Settled(t.Context(), drop, Options{Settle: soon})
	if err != nil || len(files) != 2 || files[0].Name != "old.jpg" || files[1].Name != "new.jpg" {
		t.Errorf("%v, %v", files, err)
	}
	if len(left) != 1 || left[0].Kind != KindLoose {
		t.Errorf("left alone: %v", left)
	}
}

func TestSettledWithNothingThereDoesNotWait(t *testing.T) {
	files, left, err := Settled(t.Context(), newDrop(t, "A2"), Options{Settle: time.Hour})
	if len(files)+len(left) != 0 || err != nil {
		t.Errorf("%v, %v, %v", files, left, err)
	}
}

func TestSettledWaitsForACopyUnderWay(t *testing.T) {
	drop := newDrop(t, "A2")
	now := growing(t, filepath.Join(drop, "A2/marsh.jpg"), 8)
	files, left, err := Settled(t.Context(), drop, Options{Settle: soon, Now: now})
	if err != nil || len(left) != 0 || len(files) != 1 || files[0].Size != 8*chunk {
		t.Errorf("%v, %v, %v; want all %d bytes", files, left, err, 8*chunk)
	}
}

const chunk = 1000 // bytes

// growing is a clock for a file that grows by a chunk each time somebody asks
// for the time, and so between any two looks, n times in all. However slowly
// the machine goes, it is never steady before.
func growing(t testing.TB, path string, n int) (now func() time.Time) {
	t.Helper()
	return func() time.Time {
		if n > 0 {
			n--
			f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o666)
			if err != nil {
				t.Error(err)
				return time.Now()
			}
			defer f.Close()
			if _, err := f.Write(bytes.Repeat([]byte("x"), chunk)); err != nil {
				t.Error(err)
			}
		}
		return time.Now()
	}
}

func TestSettledLeavesWhatGrowsForEver(t *testing.T) {
	drop := newDrop(t, "A2")
	put(t, drop, "A2/whole.jpg", "x")
	now := growing(t, filepath.Join(drop, "A2/growing.jpg"), 1_000_000)
	files, left, err := Settled(t.Context(), drop, Options{Settle: soon / 4, Now: now})
	if err != nil || len(files) != 1 || files[0].Name != "whole.jpg" {
		t.Errorf("%v, %v", files, err)
	}
	const want = "drop/A2/growing.jpg: still being written after 400ms; it will be taken next time"
	if len(left) != 1 || left[0].Kind != KindGrowing || left[0].Why() != want {
		t.Errorf("left alone: %v", left)
	}
}

func TestSettledStopsWhenTold(t *testing.T) {
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", "x")
	ctx, cancel := context.WithTimeout(t.Context(), soon/4)
	defer cancel()
	if _, _, err := Settled(ctx, drop, Options{Settle: time.Hour}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("%v", err)
	}
}
