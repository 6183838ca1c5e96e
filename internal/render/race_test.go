//go:build race

package render_test

// underRace thins the measurements of the whole chain, which the race detector
// makes ten times longer and which scripts/test.sh runs whole without it.
const underRace = true
