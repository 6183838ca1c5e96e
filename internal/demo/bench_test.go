package demo

import "testing"

func BenchmarkValue(b *testing.B) {
	var s float32
	for i := range b.N {
		x := float32(i) * 0.37
		s += value(x, x*0.7)
	}
	_ = s
}
