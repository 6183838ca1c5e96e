// Package vector is the loops that every pixel of a print goes through, over
// rows of float32, with assembly for processors that have AVX2.
//
// # What a loop promises
//
// The same bits everywhere. A print must not depend on the machine that made
// it, so each loop is a plain Go function, and the assembly must give its results
// exactly, sum for sum in its order (0 and -0 count as equal). That is possible
// because IEEE 754 rounds a sum, product, quotient and square root correctly:
// only the order of the operations matters, and eight outputs side by side leave
// the order within each as it was.
//
// So there is no fused multiply-add here, although it is faster and more exact:
// it rounds once where a product and a sum round twice. The Go compiler may fuse
// x*y + z by itself (it does on arm64, and on amd64 when told that it may use
// newer instructions), but never across a conversion; so the plain loops write
// every product that goes into a sum as float32(x*y). A loop without that
// is a mistake.
//
// Inputs are finite. Rows are at least as long as the doc comments say,
// or the loop panics; nothing beyond them is read or written. A loop's result may
// lie over an input only where its comment allows it, and then exactly.
//
// # How the choice is made
//
// An exported loop checks its rows, then calls its wide half, which makes as
// many leading outputs as it can (whole groups of eight) and says how many, then
// its plain half for the rest. On an amd64 processor with AVX2 the wide half is
// assembly; elsewhere, or built with the tag purego, it makes none:
//
//	weigh.go            Weigh, and weighPlain: what the sum is
//	vector_amd64.go     weighWide by assembly, where the processor has AVX2
//	vector_noasm.go     weighWide that makes none
//	vector_amd64.s      the assembly, written by the generator
//	_asm                the generator, a module of its own
//
// The tests hold every loop to its plain half, at every length and alignment,
// in memory whose neighbours are watched or may not be touched at all.
package vector

//go:generate go -C _asm run . -out ../vector_amd64.s -stubs ../stubs_amd64.go -pkg vector

import "fmt"

// enough panics unless a row has the items that a loop will use.
func enough(loop, row string, has, needs int) {
	if has < needs {
		panic(short(loop, row, has, needs))
	}
}

// short is apart so that enough is small enough to be inlined.
func short(loop, row string, has, needs int) string {
	return fmt.Sprintf("vector.%s: %s has %d items; the loop needs %d", loop, row, has, needs)
}
