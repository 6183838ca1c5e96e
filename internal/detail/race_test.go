//go:build race

package detail

// underRace thins the measurements of many photographs, which the race detector
// makes ten times longer and which scripts/test.sh runs whole without it.
const underRace = true
