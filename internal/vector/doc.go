// Package vector holds the inner loops that every pixel of a print passes through. They
// work on rows of float32, with assembly for processors that have AVX2.
//
// # Identical results
//
// A loop gives the same bits everywhere, so that a print does not depend on the machine
// that made it. Each loop is a plain Go function, and the assembly must give exactly
// its results, with every sum in the same order (0 and -0 count as equal). That is
// possible because IEEE 754 rounds a sum, product, quotient and square root correctly:
// only the order of the operations matters, and computing eight outputs side by side
// does not change the order within each.
//
// So the loops use no fused multiply-add, although it is faster and more exact: it
// rounds once where a product and a sum round twice. The Go compiler may fuse x*y + z
// by itself (it does on arm64, and on amd64 if newer instructions are allowed), but
// never across a conversion. So the plain loops must write every product that is added
// to something as float32(x*y).
//
// Inputs must be finite. A loop panics if a row is shorter than its doc comment asks;
// it reads and writes nothing beyond that length. A result may share memory with an
// input only where the doc comment allows it, and then it must start at the same
// element.
//
// # How a loop is chosen
//
// An exported loop checks its rows. Then it calls its wide half, which computes as many
// leading outputs as it can (whole groups of eight) and returns their number, and its
// plain half for the rest. On an amd64 processor with AVX2 the wide half is assembly;
// elsewhere, or when built with the tag purego, it computes none. A convolution has a loop
// for AVX-512 with VNNI too, of larger groups:
//
//	weightedsum.go      WeightedSum and weightedSumPlain, the definition of the sum
//	vector_amd64.go     weightedSumWide in assembly, if the processor has AVX2
//	vector_noasm.go     weightedSumWide that computes none
//	vector_amd64.s      the generated assembly
//	_asm                the generator, a module of its own
//
// The tests compare every loop with its plain half, at every length and alignment, in
// memory with guard bytes or guard pages around each row.
package vector

//go:generate go -C _asm run . -out ../vector_amd64.s -stubs ../stubs_amd64.go -pkg vector

import "fmt"

// checkLen panics if a row has fewer items than the loop needs.
func checkLen(loop, row string, has, needs int) {
	if has < needs {
		panic(shortMessage(loop, row, has, needs))
	}
}

// shortMessage is a function of its own so that checkLen can be inlined.
func shortMessage(loop, row string, has, needs int) string {
	return fmt.Sprintf("vector.%s: %s has %d items; the loop needs %d", loop, row, has, needs)
}
