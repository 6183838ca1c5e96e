// Package vision holds published facts about human vision that matter for prints: contrast
// sensitivity, acuity and viewing distance.
//
// # Units
//
// Vision is measured in cycles per degree of visual angle, a print in pixels or cycles
// per inch, and a picture in cycles per pixel. [PixelsPerDegree] converts between them;
// the conversion depends on the viewing distance.
//
// # Contrast sensitivity
//
// A sensitivity of 100 at some frequency means that half of the observers see a sine
// wave of Michelson contrast 1/100. [MannosSakrison] gives the shape only. [Barten]
// gives absolute values, and depends on the luminance of the print and the size of the
// area looked at.
//
// Both functions fall towards low frequencies. A print does not look flat from nearby
// all the same: people see large shapes by their edges, which contain every frequency.
// So [Envelope] keeps the peak value at all frequencies below the peak. That is house
// practice, and it guarantees that detail never becomes less visible when the viewer
// comes nearer or the print is larger.
//
// # Contrast above threshold
//
// An eye perceives about the contrast minus its threshold ([Envelope.VisibleShare]).
//
// # Verdicts
//
// [NewLevels] has what a print asks of a file, [Counted] what counts of one.
//
// Sources are beside each function. Values without a source are marked house judgement
// or common practice.
package vision
