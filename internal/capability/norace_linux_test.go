//go:build !race

package capability

const underRace = false
