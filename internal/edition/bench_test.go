package edition

import (
	"fmt"
	"testing"
)

// BenchmarkGive gives a number where 5,000 are given and on record.
func BenchmarkGive(b *testing.B) {
	var all []Line
	for i := range 5000 {
		all = append(all, Line{Picture: Picture{"Marsh exhibition", fmt.Sprint("tide ", i/20), "A2", 25}, Number: i%20 + 1, At: day})
	}
	l, _ := Parse(nil)
	l.Restore(all)
	text := l.Bytes()
	for b.Loop() {
		l, err := Parse(text)
		if err != nil {
			b.Fatal(err)
		}
		l.Restore(all)
		if _, err := l.Give(all[0].Picture, 1, "claim", day); err != nil {
			b.Fatal(err)
		}
	}
}
