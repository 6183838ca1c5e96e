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
// Up to [ExactMost] prints the answer is the best there is ([exact]): a guillotine
// pattern is two patterns side by side or one after the other, so the smallest
// shapes that each subset can take follow from those of its parts. Past that the
// best of these is taken:
//
//   - shelves, best fit by decreasing height;
//   - layers, the first print giving the height, the rest of the layer filled
//     recursively, tightest fit first;
//   - a length is given and the whole of it filled so, and the length made shorter
//     while all prints find room;
//   - both again with the order of prints changed a little, a fixed number of times
//     by a fixed generator, keeping what is no worse;
//   - two layers of few prints taken together and packed exactly.
//
// The same items and roll give the same plan on every machine.
package roll
