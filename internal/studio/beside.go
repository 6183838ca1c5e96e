package studio

import "slices"

// BesideStems are what the files beside an original in held/ may be called, but for a
// suffix of at most room bytes: what [Claim.HeldNames] gives and, of studios in which an
// earlier version held files, the original's own name.
func BesideStems(original string, room int) []string {
	return slices.Compact([]string{besideStem(original, room), original})
}
