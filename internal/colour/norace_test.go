//go:build !race

package colour

const underRace = false
