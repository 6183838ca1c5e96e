// Package eye is what has been published about what people see of a print:
// how little contrast they see at which fineness, how fine at all, and from how
// far they look.
//
// # Two units and a bridge
//
// The eye counts in cycles per degree of angle, a print in pixels or cycles per
// inch, a picture in cycles per pixel. [PixelsPerDegree] is the bridge, and
// needs the distance.
//
// # Contrast sensitivity
//
// A sensitivity of 100 at some fineness means that a sine there is just seen (by
// half of those who look) at a Michelson contrast of 1/100. [MannosSakrison] is
// the shape alone; [Barten] has absolute values, and takes the light on the print
// and the size of what is looked at.
//
// Both fall towards low frequencies. A print does not look flat from close to for
// that: large forms are seen by their edges, and edges have every frequency. So
// [Envelope] stays at the peak below the peak. It is house judgement, and it keeps
// a promise: what comes nearer or grows is never seen less.
//
// # Contrast well above threshold
//
// Near threshold, seeing is chance ([Chance]). Above, an eye sees contrast
// about as it is, less the threshold ([Envelope.Sensation]).
//
// Sources are beside each function. Values that come from no source are marked
// house practice or common practice.
package eye
