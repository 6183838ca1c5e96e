//go:build !race

package isolate

const underRace = false

var ownEnv []string
