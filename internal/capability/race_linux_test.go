//go:build race

package capability

// underRace: the race detector uses C.
const underRace = true
