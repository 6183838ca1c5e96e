// Package roll packs a night's prints for one stock onto a roll of paper in the least
// length, so that a person with a rotary trimmer can cut them apart.
//
// # The problem
//
// The literature calls this two-dimensional strip packing with guillotine cuts and,
// where an item allows it, rotation by 90 degrees. A guillotine cut goes from one edge to
// the opposite edge of the part that is being cut, as a trimmer's does, and through no
// print. The problem is NP-hard, so beyond a few prints the answer is the best of several
// heuristics. [Plan.LowerBoundMM] is a length that no packing can go below, so it shows
// how far the plan can be from the best.
//
// # Coordinates
//
// X runs across the roll from its left edge, Y along the paper from the leading edge, both
// in millimetres. A run is one piece of paper as it comes off the printer:
//
//	leading margin | prints with gaps between them | trailing margin
//
// and across: left margin, trim lane, prints, trim lane, right margin.
//
// # Method
//
// Each of two neighbours has half of the gap between them: prints grown by the gap (the
// cells below) and packed without gaps into a width grown by the gap are the prints packed
// with gaps. Internally lengths are whole ten-thousandths of a millimetre, so that edges
// that meet are exactly equal.
//
// A way says in which order prints are put into the corner of a space, how each is turned,
// and how the space beside and beyond it is split in two, which are filled in the same
// manner (fill.go). Rules from the literature give the first ways. Then the search asks
// for a length just below the best and changes the best way a little at a time, with a
// fixed generator and a fixed number of steps (search.go). For nights whose best length is
// known it takes about 1 % more paper.
//
// The same items and roll give the same plan on every machine.
package roll
