//go:build race

package apart

// underRace is for tests: the race detector multiplies memory.
const underRace = true

// ownEnv spares a child the second that a program built to find data races waits
// before it ends.
var ownEnv = []string{"GORACE=atexit_sleep_ms=0"}
