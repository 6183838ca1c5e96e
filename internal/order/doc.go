// Package order decides one order, once: what is to become of a photograph in a
// drop folder. Every command asks here, so that what plan says is what the daemon
// does.
//
// A [Decision] comes in two stages. [Desk.Foresee] reads the header and the
// configuration and touches no pixel: what is held for its folder, its format, its
// size or its paper is held here, at the cost of a few kilobytes read. [Desk.Finish]
// decodes the photograph in a process of its own, under the studio's limits,
// measures it, and decides the rest. Only a final decision is a verdict.
//
// A decision that makes a print holds a [Plan]; one that makes none holds a hold, with
// its reason. Both have the same cautions wherever they are asked for. [NewPlan] is a
// function of a header and an order, and touches no pixel; [Plan.WithMeasurement] adds
// what hangs on the picture's own detail, noise and blur. A plan is the recipe by which
// package render makes the print, and notes for people: whys, estimates, cautions.
//
// An error is no decision. It is a fault of the machine or of the studio and says
// nothing of the picture: a disk that does not answer, memory that ran out.
package order
