// Package slantededge is for tests: known pictures, and instruments that
// measure what the print chain made of them. It holds an edge and its
// response, a thin line and its evenness, and a zone plate for moire.
//
// # The slanted edge
//
// An edge a few degrees from vertical crosses each row of pixels at a different phase.
// Aligned along the edge, the rows together sample it much more finely than one pixel, so
// blur, sharpening and halos can be measured even near and beyond the frequency at which a
// single row would alias. This is the edge-based spatial frequency response (e-SFR) of ISO
// 12233:2017; P. D. Burns, "Slanted-edge MTF for digital camera and scanner analysis", IS&T
// PICS 2000, describes the method and its errors. The steps were written from memory of
// both, without the standard at hand:
//
//  1. each row's edge is the centroid of its derivative (centroid.go);
//  2. a straight line through the rows, found a second time with a Hamming
//     window about the first (locate.go);
//  3. pixels projected onto the line's normal in bins of a quarter pixel: the edge
//     spread function, ESF (project.go);
//  4. its central difference under a Hamming window: the line spread function
//     (response.go);
//  5. the modulus of its Fourier transform, 1 at frequency zero, corrected for
//     what the difference removed (response.go).
//
// It differs from the standard where testing our own arithmetic needs it:
// frequencies are along the edge's normal, not along a row; the transform is
// computed at exactly the frequency asked for, without interpolation; what averaging in a
// bin removes is corrected too (2.5 % at 0.5 cycles/px); a bin's
// mean is moved to the bin's middle, without which a slope of 1/5 reads up to
// 0.09 wrong, and with which 0.009; the window's middle is the fitted line, not the highest
// sample; no tone curve is undone, since planes here are measured in the values
// they hold.
//
// # Limits
//
// The Hamming window narrows a broad edge. With R px of picture on each side,
// a Gaussian of s px measures as 1/sqrt(1/s^2 + 4.54/R^2): 0.4 % narrow at
// R = 24 s, 0.9 % at 16 s, 3.4 % at 8 s. Noise raises a modulus and both
// overshoots, never lowers them: see [Response].
//
// # Conventions
//
// A plane is w*h values, row after row. Pixel (x, y) covers the square from
// (x, y) to (x+1, y+1), y downwards; pictures are made about the middle,
// (w/2, h/2). Angles are of the edge or line itself, in degrees clockwise from
// vertical: at 5 the top leans to the right, 90 is horizontal.
package slantededge
