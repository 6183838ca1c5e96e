//go:build race

package isolate

// underRace is for tests: the race detector uses much more memory.
const underRace = true

// ownEnv keeps a child built with the race detector from waiting a second before it
// exits.
var ownEnv = []string{"GORACE=atexit_sleep_ms=0"}
