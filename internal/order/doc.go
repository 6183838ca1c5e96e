// Package order decides what becomes of a photograph in a drop folder. Every command
// decides here, so what plan says is what the daemon does.
//
// A [Decision] has two stages. [Desk.Foresee] reads the header and the configuration
// and no pixel; it reads a few kilobytes. It already holds what cannot be printed
// because of its folder, format, size or paper. [Desk.Finish] decodes the photograph
// in a separate process, within the studio's limits, measures it and decides the
// rest. Only a final decision is called a verdict.
//
// A decision to print has a [Plan]; a decision not to print has a hold, with its
// reason. Every command gets the same cautions. [NewPlan] needs only a header and an
// order; [Plan.WithMeasurement] adds what depends on the picture's measured detail,
// noise and blur. A plan is the recipe from which package render makes the print, and
// notes for people: reasons, estimates, cautions.
//
// An error is not a decision. It is a fault of the machine or of the studio, such as
// a disk that does not answer or too little memory, and says nothing about the picture.
package order
