//go:build !purego

package vector

import "testing"

func TestAConvolutionIsItsSumWithoutVNNI(t *testing.T) {
	defer func(had bool) { vnni = had }(vnni)
	vnni = false
	TestAConvolutionIsItsSumOnEveryMachine(t)
}

func BenchmarkConvolutionWithoutVNNI(b *testing.B) {
	defer func(had bool) { vnni = had }(vnni)
	vnni = false
	BenchmarkConvolution(b)
}
