// Package roll packs a night's prints for one stock onto a roll of paper in the
// least length, so that a person with a rotary trimmer can cut them apart.
//
// # What is asked
//
// In the literature this is two-dimensional strip packing with guillotine cuts and,
// where an item allows it, rotation by 90 degrees. Guillotine: every cut goes from
// one edge to the opposite edge of the part that is being cut, as a trimmer's does,
// and passes through no print. The problem is NP-hard, so past a few prints the
// answer is the best of several heuristics, and [Plan] tells how far it can be from
// the best: [Plan.LowerBoundMM] is a length that no packing goes below.
//
// # Where things are
//
// X runs across the roll from its left edge, Y along the paper from the leading
// edge, both in millimetres. A run is one piece of paper as it comes off the printer:
//
//	leading margin | prints with gaps between them | trailing margin
//
// and across: left margin, trim lane, prints, trim lane, right margin.
//
// # How
//
// A gap is half of each neighbour's: prints grown by the gap and packed without
// gaps into a width grown by the gap are the prints packed with gaps (cells, below).
// Lengths are whole ten-thousandths of a millimetre inside, so that edges that meet
// are equal and not nearly so.
//
// A way says in which order prints are put into the corner of a space, which way each
// lies, and how what is left beside and beyond it becomes two spaces, which are filled
// alike (fill.go). Rules of the literature give some ways to begin with; then the best
// is changed a little at a time, by a fixed generator and a fixed number of times, while
// a length just below the best is asked for (search.go). On nights whose best is known
// it takes about 1 % more paper.
//
// The same items and roll give the same plan on every machine.
package roll
