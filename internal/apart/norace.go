//go:build !race

package apart

const underRace = false

var ownEnv []string
