//go:build !race

package detail

const underRace = false
