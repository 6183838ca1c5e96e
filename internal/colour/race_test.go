//go:build race

package colour

// underRace thins the long comparisons, which the race detector makes ten times
// longer and which scripts/test.sh runs whole without it.
const underRace = true
