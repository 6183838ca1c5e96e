package demo

import (
	"context"
	"os"
	"testing"
	"time"
)

func TestFillFull(t *testing.T) {
	d := os.Getenv("DEMO_FILL")
	if d == "" {
		t.Skip()
	}
	t0 := time.Now()
	if err := Fill(context.Background(), d, Pictures(), func(done, total int, name string) {
		t.Log(done, total, name, time.Since(t0), cpu())
	}); err != nil {
		t.Fatal(err)
	}
}
