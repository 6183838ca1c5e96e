//go:build !race

package render_test

const underRace = false
