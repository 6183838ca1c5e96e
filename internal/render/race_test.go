//go:build race

package render_test

// underRace shortens the measurements of the whole chain, which take ten times longer
// under the race detector. scripts/test.sh runs them in full without it.
const underRace = true
