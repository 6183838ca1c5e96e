//go:build race

package colour

// underRace shortens the long comparisons: the race detector makes them ten times slower,
// and scripts/test.sh runs them in full without it.
const underRace = true
